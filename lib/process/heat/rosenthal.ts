import { requireNumber } from "../../errors/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";
import { scaledBesselK0 } from "./bessel.js";

/** A point source moving over a plate at constant speed, long after its start. */
export interface MovingSource {
  /** q, W into the part: physical efficiency times arc power. */
  readonly netPower: number;
  /** v, mm/s. */
  readonly travelSpeed: number;
  /** k, W/(mm K), an effective value for the whole cooling range. */
  readonly conductivity: number;
  /** rho c, J/(mm3 K). */
  readonly volumetricHeat: number;
  /** T0, degC. */
  readonly startTemperature: number;
}

const grong = "AWS Welding Handbook vol. 1 and Grong, Metallurgical Modelling of Welding";

/**
 * Effective constants for the moving-source formulas: not the handbook values at room temperature,
 * but those that make the formulas agree with measured cooling.
 */
export const effectiveThermal: Readonly<
  Record<
    "carbonSteel" | "austenitic" | "aluminium",
    Readonly<Record<"conductivity" | "volumetricHeat", SourcedValue>>
  >
> = {
  carbonSteel: {
    conductivity: sourced(0.028, "W/(mm K)", "from memory", grong, [0.028, 0.03]),
    volumetricHeat: sourced(0.0044, "J/(mm3 K)", "from memory", grong, [0.0044, 0.0052]),
  },
  austenitic: {
    conductivity: sourced(0.0235, "W/(mm K)", "from memory", grong, [0.022, 0.025]),
    volumetricHeat: sourced(0.0048, "J/(mm3 K)", "from memory", grong),
  },
  aluminium: {
    conductivity: sourced(0.18, "W/(mm K)", "from memory", grong, [0.16, 0.2]),
    volumetricHeat: sourced(0.0027, "J/(mm3 K)", "from memory", grong),
  },
};

/** Checks a source; returns it with its diffusivity a = k/(rho c), mm2/s. */
export function requireSource(source: MovingSource): MovingSource & { readonly diffusivity: number } {
  requireNumber("net arc power", source.netPower, { above: 0, unit: "W" });
  requireSetting("travel_speed", source.travelSpeed);
  requireNumber("conductivity", source.conductivity, { above: 0, max: 0.5, unit: "W/(mm K)" });
  requireNumber("volumetric heat", source.volumetricHeat, { above: 0, max: 0.01, unit: "J/(mm3 K)" });
  requireSetting("temperature", source.startTemperature);
  return { ...source, diffusivity: source.conductivity / source.volumetricHeat };
}

/**
 * Temperature around a moving source on a thick plate.
 *
 *     T - T0 = q / (2 pi k R) exp(-v (xi + R)/(2a)), R^2 = xi^2 + y^2 + z^2
 *
 * Point source, no convection in the pool, no latent heat, no wire: good for cooling away from the
 * pool, +-30 % for the pool itself.
 *
 * @param at - mm from the source: `along` travel (negative behind), `across`, `depth`
 * @returns degC; infinite at the source itself
 * @throws {BeadbenchError} `bad-argument` for a source or material value that cannot be, naming it
 * @source Rosenthal, Trans. ASME 68 (1946) 849
 * @example thickPlateTemperature({ netPower: 1206, travelSpeed: 3, conductivity: 0.03, volumetricHeat: 0.0052, startTemperature: 20 }, { along: -10, across: 0, depth: 0 }) // => 659.803
 */
export function thickPlateTemperature(
  source: MovingSource,
  at: { readonly along: number; readonly across: number; readonly depth: number },
): number {
  const { netPower, travelSpeed, conductivity, diffusivity, startTemperature } = requireSource(source);
  const distance = Math.hypot(at.along, at.across, at.depth);
  const decay = Math.exp((-travelSpeed * (at.along + distance)) / (2 * diffusivity));
  return startTemperature + (netPower / (2 * Math.PI * conductivity * distance)) * decay;
}

/**
 * Temperature around a moving source on a plate so thin that it is hot through.
 *
 *     T - T0 = q / (2 pi k g) exp(-v xi/(2a)) K0(v r/(2a)), r^2 = xi^2 + y^2
 *
 * @param thickness - g, mm
 * @param at - mm from the source: `along` travel (negative behind), `across`
 * @returns degC; infinite at the source itself
 * @throws {BeadbenchError} `bad-argument` for a source or material value that cannot be, naming it
 * @source Rosenthal, Trans. ASME 68 (1946) 849
 * @example thinPlateTemperature({ netPower: 1206, travelSpeed: 3, conductivity: 0.03, volumetricHeat: 0.0052, startTemperature: 20 }, 5, { along: -10, across: 0 }) // => 974.417
 */
export function thinPlateTemperature(
  source: MovingSource,
  thickness: number,
  at: { readonly along: number; readonly across: number },
): number {
  const { netPower, travelSpeed, conductivity, diffusivity, startTemperature } = requireSource(source);
  requireNumber("plate thickness", thickness, { above: 0, unit: "mm" });
  const distance = Math.hypot(at.along, at.across);
  const scale = travelSpeed / (2 * diffusivity);
  const field = Math.exp(-scale * (at.along + distance)) * scaledBesselK0(scale * distance);
  return startTemperature + (netPower / (2 * Math.PI * conductivity * thickness)) * field;
}
