import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import {
  type ProcessFamily,
  processFacts,
  processFamilies,
  requireSetting,
  type SourcedValue,
} from "../handbook/index.js";

/** Share of the fed wire that stays on the part: see {@link processes}. */
export const depositionEfficiencies = Object.fromEntries(
  processFamilies.map((family) => [family, processFacts(family).deposition]),
) as Readonly<Record<ProcessFamily, SourcedValue>>;

/**
 * Cross-section of a round wire.
 *
 *     A_w = pi d^2 / 4
 *
 * Take inch sizes unrounded: 0.045 in is 1.143 mm, 9.3 % less wire than 1.2 mm.
 *
 * @param diameter - d, mm
 * @returns mm2
 * @throws {BeadbenchError} when no deposition wire has that diameter
 * @example wireArea(1.6) // => 2.010619
 */
export function wireArea(diameter: number): number {
  requireSetting("wire_diameter", diameter);
  return (Math.PI * diameter * diameter) / 4;
}

/** What is fed and how fast it is laid down. */
export interface WireSetting {
  /** d, mm. */
  readonly wireDiameter: number;
  /** f, mm/s of wire. */
  readonly wireFeedSpeed: number;
  /** phi, mass stuck over mass fed. Default 1. */
  readonly depositionEfficiency?: number;
}

/**
 * Volume of metal added per second, phi A_w f, mm3/s.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function depositedVolumeRate(setting: WireSetting): number {
  requireSetting("wire_feed_speed", setting.wireFeedSpeed);
  return share(setting.depositionEfficiency) * wireArea(setting.wireDiameter) * setting.wireFeedSpeed;
}

/**
 * Cross-section of the metal added.
 *
 *     A = phi A_w f / v
 *
 * @param travelSpeed - v, mm/s
 * @returns mm2
 * @throws {BeadbenchError} when no rig could run the setting
 * @source conservation of mass
 * @example beadArea({ wireDiameter: 1.2, wireFeedSpeed: 20 }, 3) // => 7.53982
 */
export function beadArea(setting: WireSetting, travelSpeed: number): number {
  requireSetting("travel_speed", travelSpeed);
  return depositedVolumeRate(setting) / travelSpeed;
}

/**
 * Wire feed that lays a wanted cross-section: the inverse of {@link beadArea}.
 *
 * @param area - A, mm2
 * @param travelSpeed - v, mm/s
 * @returns f, mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example feedForArea(7.53982, 3, { wireDiameter: 1.2 }) // => 20.0000
 */
export function feedForArea(
  area: number,
  travelSpeed: number,
  wire: Omit<WireSetting, "wireFeedSpeed">,
): number {
  requireNumber("bead area", area, { above: 0, unit: "mm2" });
  requireSetting("travel_speed", travelSpeed);
  return (area * travelSpeed) / (share(wire.depositionEfficiency) * wireArea(wire.wireDiameter));
}

/**
 * Mass deposited per second of arc.
 *
 *     phi A_w f rho
 *
 * @param density - rho, g/cm3
 * @returns g/s (times 3.6 for kg/h)
 * @source ISO/TR 25901-1, deposition rate
 * @example depositionRate({ wireDiameter: 1.2, wireFeedSpeed: 20 }, 7.85) // => 0.177563
 */
export function depositionRate(setting: WireSetting, density: number): number {
  return depositedVolumeRate(setting) * gramsPerCubicMillimetre(density);
}

/**
 * Mass per length of bead, A rho.
 *
 * @param area - mm2
 * @param density - g/cm3
 * @returns g/mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example linearMass(7.54, 7.85) // => 0.059189
 */
export function linearMass(area: number, density: number): number {
  requireNumber("bead area", area, { min: 0, unit: "mm2" });
  return area * gramsPerCubicMillimetre(density);
}

/**
 * Bead cross-section from weighing: mass gained over density and bead length.
 *
 * @param gained - g
 * @param density - g/cm3
 * @param length - mm of bead
 * @returns mm2
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example areaFromWeighing(4.735, 7.85, 80) // => 7.53981
 */
export function areaFromWeighing(gained: number, density: number, length: number): number {
  requireNumber("mass gained", gained, { above: 0, unit: "g" });
  requireNumber("bead length", length, { above: 0, unit: "mm" });
  return gained / (gramsPerCubicMillimetre(density) * length);
}

/**
 * Length of wire that fills a volume (mm3): V / (phi A_w), mm.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example wireForVolume(603, { wireDiameter: 1.2 }) // => 533.169
 */
export function wireForVolume(volume: number, wire: Omit<WireSetting, "wireFeedSpeed">): number {
  requireNumber("volume", volume, { min: 0, unit: "mm3" });
  return volume / (share(wire.depositionEfficiency) * wireArea(wire.wireDiameter));
}

/**
 * Arc time until a spool of `mass` g is used up, s; wire of `density` g/cm3.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example spoolTime(1000, { wireDiameter: 1.2, wireFeedSpeed: 20 }, 7.85) // => 5631.81
 */
export function spoolTime(mass: number, setting: WireSetting, density: number): number {
  requireNumber("mass of wire on the spool", mass, { min: 0, unit: "g" });
  return (
    mass / (depositedVolumeRate({ ...setting, depositionEfficiency: 1 }) * gramsPerCubicMillimetre(density))
  );
}

/** Bead areas found in independent ways, mm2. */
export interface AreaEstimates {
  /** From feed, wire diameter and travel speed. */
  readonly feed?: number;
  /** From weighing. */
  readonly weight?: number;
  /** From a macro-section or profile. */
  readonly section?: number;
}

/**
 * Compares the bead areas found by feed, weight and section.
 *
 * @param tolerance - largest share by which two may differ. Default 0.05
 * @returns one finding per pair that disagrees
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source common practice: mass balance closes within 5 %
 * @example checkMassBalance({ feed: 7.54, weight: 7.3, section: 7.6 }) // => []
 */
export function checkMassBalance(areas: AreaEstimates, tolerance = 0.05): readonly Finding[] {
  const known = (["feed", "weight", "section"] as const).flatMap((way) => {
    const area = areas[way];
    return area === undefined
      ? []
      : [{ way, area: requireNumber(`bead area by ${way}`, area, { above: 0, unit: "mm2" }) }];
  });
  return known.flatMap((first, i) =>
    known.slice(i + 1).flatMap((second): Finding[] => {
      const gap = second.area / first.area - 1;
      if (Math.abs(gap) <= tolerance) return [];
      return [
        {
          code: "mass-balance-open",
          severity: "warning",
          message: `bead area by ${second.way} is ${fixed(second.area, 2)} mm2 against ${fixed(first.area, 2)} mm2 by ${first.way} (${fixed(100 * gap, 1)} %)`,
          advice:
            "look for a slipping feed roll, a wrong wire diameter or travel speed, spatter, or a bad section; time a measured length of wire",
          about: [first.way, second.way],
        },
      ];
    }),
  );
}

function share(efficiency = 1): number {
  return requireNumber("deposition efficiency (a share, 0.95 for 95 %)", efficiency, { above: 0, max: 1 });
}

function gramsPerCubicMillimetre(density: number): number {
  return requireNumber("density", density, { min: 0.5, max: 25, unit: "g/cm3" }) * 1e-3;
}
