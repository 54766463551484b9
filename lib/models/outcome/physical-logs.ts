import type { Finding } from "../../errors/index.js";
import { fixed } from "../../numeric/index.js";
import {
  currentForFeed,
  meltingCoefficients,
  processFacts,
  scaleMelting,
  wireArea,
} from "../../process/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { arcVoltageOrTypical, type RigPhysics, rigPhysics, usualSetting } from "../physical/index.js";
import { type Affine, combine } from "./affine.js";
import { type Coordinate, physicalCentre } from "./coordinates.js";

/** Logarithms of physical quantities (A, V, mm/s, mm, J/mm, mm2) as functions of the axes. */
export interface PhysicalLogs {
  /** Of an arc, A; of a beam its power, W, and the voltage is then 1, so that their product is the power of either. */
  readonly current: Affine;
  readonly voltage: Affine;
  readonly travel: Affine;
  readonly feed: Affine;
  /** Distance from torch to work, when a factor sets it. */
  readonly standoff?: Affine;
  /** Arc energy U I / v. */
  readonly energy: Affine;
  /** Metal laid down per length, phi A_w f / v. */
  readonly area: Affine;
  /** Share of net arc power that melting the wire takes. */
  readonly share: Affine;
  /** Whether current and feed are tied by the melting of a consumable electrode. */
  readonly currentFromFeed: boolean;
  /** Whether the wire is the electrode. */
  readonly consumable: boolean;
  /** How well the efficiency is known beyond what is usual: standard deviation of its logarithm. */
  readonly efficiencyDoubt: number;
  readonly physics: RigPhysics;
  readonly findings: readonly Finding[];
}

/** Electrode extension taken where no factor sets it, mm: common practice, no source. */
const EXTENSION = 12;
/** Diameter the published melting coefficients are for, mm. */
const PUBLISHED_DIAMETER = 1.2;

/** Current that melts the wire fed (mm/s). */
function meltingCurrent(light: boolean, diameter: number, feed: number): number {
  const { alpha, beta } = meltingCoefficients[light ? "aluminium" : "steel"];
  const law = scaleMelting({ alpha: alpha.value, beta: beta.value }, PUBLISHED_DIAMETER, diameter);
  return currentForFeed(law, feed, EXTENSION);
}

/**
 * Finds the physical quantities behind a study's factors, its constants and what was logged beside them.
 *
 * @returns undefined when travel speed or wire feed are no settings of the study: the models then work on
 *   the raw settings
 * @source melting of a consumable electrode: Lesnewich 1958, Halmoy 1979, constants from memory
 */
export function physicalLogs(
  definition: StudyDefinition,
  coordinates: readonly Coordinate[],
  coupons: readonly Coupon[],
): PhysicalLogs | undefined {
  const physics = rigPhysics(definition);
  const findings: Finding[] = [];
  const units = new Map(definition.factors.map((factor) => [factor.name, factor.unit]));
  const constants = usualSetting(definition, coupons);
  const zero = coordinates.map(() => 0);
  const known = (name: keyof typeof constants): Affine | undefined => {
    const index = coordinates.findIndex((axis) => axis.quantity === name);
    if (index >= 0) {
      const slopes = zero.map((_, j) => (j === index ? 1 : 0));
      return { constant: physicalCentre(coordinates[index]!, units.get(name)!), slopes };
    }
    const value = constants[name];
    return value === undefined ? undefined : { constant: Math.log(value), slopes: zero };
  };
  const travel = known("travel_speed");
  const feed = known("wire_feed_speed");
  if (travel === undefined || feed === undefined) return undefined;
  const diameter = known("wire_diameter")!;
  const standoff = known("standoff") ?? known("contact_tip_distance") ?? known("stickout");
  const { wire, efficiencyDoubt } = processFacts(physics.process);
  const consumable = wire === "electrode";
  const beam = physics.source === "beam";
  const section = combine([[2, diameter]], Math.log(wireArea(1)));
  let current = known(beam ? "power" : "current");
  const currentFromFeed = current === undefined && consumable;
  if (current === undefined) {
    if (consumable) {
      const at = (factor: number): number =>
        Math.log(
          meltingCurrent(isLight(physics), Math.exp(diameter.constant), Math.exp(feed.constant) * factor),
        );
      const slope = (at(1.1) - at(1 / 1.1)) / (2 * Math.log(1.1));
      current = combine([[slope, feed]], at(1) - slope * feed.constant);
      findings.push(assumed("current", "the current that melts the wire fed (Lesnewich 1958, from memory)"));
    } else if (beam) {
      current = { constant: Math.log(2000), slopes: zero };
      findings.push(assumed("power", "2000 W"));
    } else {
      current = { constant: Math.log(150), slopes: zero };
      findings.push(assumed("current", "150 A"));
    }
  }
  let voltage = beam ? { constant: 0, slopes: zero } : known("arc_voltage");
  if (voltage === undefined) {
    const amperes = Math.exp(current.constant);
    const volts = arcVoltageOrTypical(physics, { current: amperes });
    voltage = { constant: Math.log(volts), slopes: zero };
    findings.push(assumed("arc_voltage", `${fixed(volts, 1)} V, typical of the process`));
  }
  const area = combine(
    [
      [1, section],
      [1, feed],
      [-1, travel],
    ],
    Math.log(physics.depositionEfficiency.value),
  );
  const share = combine(
    [
      [1, section],
      [1, feed],
      [-1, voltage],
      [-1, current],
    ],
    Math.log(physics.wireEnthalpy.value / physics.efficiency.value),
  );
  return {
    current,
    voltage,
    travel,
    feed,
    ...(standoff === undefined ? {} : { standoff }),
    energy: combine([
      [1, voltage],
      [1, current],
      [-1, travel],
    ]),
    area,
    share,
    currentFromFeed,
    consumable,
    efficiencyDoubt: physics.efficiency.basis === "user" ? 0 : efficiencyDoubt,
    physics,
    findings:
      physics.efficiency.basis === "user" || !beam ? findings : [...findings, unsureEfficiency(physics)],
  };
}

function unsureEfficiency({ efficiency: { value, range, source } }: RigPhysics): Finding {
  return {
    code: "efficiency-unsure",
    severity: "info",
    message: `the share of the beam's power that heats the part is taken as ${value}${range === undefined ? "" : `, between ${range[0]} and ${range[1]}`} (${source})`,
    advice: "write a measured one under rig.efficiency; until then expect the first coupons to correct it",
    about: ["efficiency"],
  };
}

function assumed(name: string, what: string): Finding {
  return {
    code: "setting-assumed",
    severity: "info",
    message: `${name} is neither a factor nor under rig.settings; the physics takes ${what}`,
    advice: `add ${name} to rig.settings in study.json when you know it; coupons correct the models either way`,
    about: [name],
  };
}

/** Whether the wire is a light metal: aluminium, by its density (g/cm3). */
export function isLight(physics: RigPhysics): boolean {
  return physics.wireDensity.value < 4;
}
