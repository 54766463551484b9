import { requireNumber, requireThat } from "../../errors/index.js";
import { type SourcedValue, sourced } from "../handbook/index.js";
import type { AlloyFamily } from "../material/index.js";

/**
 * Time constant of a part that cools as one lump.
 *
 *     tau = m c R_th
 *
 * @param mass - g
 * @param specificHeat - J/(kg K)
 * @param resistance - R_th to the surroundings, K/W
 * @returns s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example lumpTimeConstant(500, 600, 0.5) // => 150
 */
export function lumpTimeConstant(mass: number, specificHeat: number, resistance: number): number {
  requireNumber("mass", mass, { above: 0, unit: "g" });
  requireNumber("specific heat", specificHeat, { above: 0, unit: "J/(kg K)" });
  requireNumber("thermal resistance", resistance, { above: 0, unit: "K/W" });
  return (mass / 1000) * specificHeat * resistance;
}

/**
 * Temperature of a lump some time after the arc went off.
 *
 *     T = Tw + (T1 - Tw) exp(-t/tau)
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example lumpTemperature({ from: 400, surroundings: 20, timeConstant: 150, time: 160.9 }) // => 149.996
 */
export function lumpTemperature({
  from,
  surroundings,
  timeConstant,
  time,
}: {
  /** T1, degC. */
  readonly from: number;
  /** Tw, degC. */
  readonly surroundings: number;
  readonly timeConstant: number;
  readonly time: number;
}): number {
  requireNumber("time constant", timeConstant, { above: 0, unit: "s" });
  requireNumber("time", time, { min: 0, unit: "s" });
  return surroundings + (from - surroundings) * Math.exp(-time / timeConstant);
}

/**
 * Wait until a part has cooled to its interpass temperature.
 *
 *     t = tau ln((T1 - Tw)/(Tip - Tw))
 *
 * @param cooling.from - T1, degC
 * @param cooling.to - Tip, degC
 * @param cooling.surroundings - Tw, degC, below both
 * @param cooling.timeConstant - tau, s, from a logged cooling curve
 * @returns s; 0 when the part is cool enough
 * @throws {BeadbenchError} when the interpass temperature is not above the surroundings
 * @example dwellTime({ from: 400, to: 150, surroundings: 20, timeConstant: 150 }) // => 160.90
 */
export function dwellTime(cooling: {
  readonly from: number;
  readonly to: number;
  readonly surroundings: number;
  readonly timeConstant: number;
}): number {
  requireNumber("time constant", cooling.timeConstant, { above: 0, unit: "s" });
  requireThat(
    cooling.to > cooling.surroundings,
    `a part in surroundings of ${cooling.surroundings} degC never cools to ${cooling.to} degC`,
  );
  if (cooling.from <= cooling.to) return 0;
  return (
    cooling.timeConstant *
    Math.log((cooling.from - cooling.surroundings) / (cooling.to - cooling.surroundings))
  );
}

/** Rises above the surroundings of a part heated layer by layer, once every layer is like the last. */
export interface PeriodicRise {
  /** At arc-off, K. */
  readonly peak: number;
  /** At the next arc-on, K. */
  readonly interpass: number;
  /** Mean over time, K. */
  readonly mean: number;
}

/**
 * Steady rise of a lump under arc and dwell in turn.
 *
 * @param cycle.netPower - W while the arc burns
 * @param cycle.resistance - K/W
 * @param cycle.timeConstant - s
 * @param cycle.arcTime - s per layer
 * @param cycle.dwell - s per layer
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source derived
 * @example periodicRise({ netPower: 1000, resistance: 0.5, timeConstant: 150, arcTime: 60, dwell: 100 }).interpass // => 129.042
 */
export function periodicRise(cycle: {
  readonly netPower: number;
  readonly resistance: number;
  readonly timeConstant: number;
  readonly arcTime: number;
  readonly dwell: number;
}): PeriodicRise {
  requireNumber("net power", cycle.netPower, { min: 0, unit: "W" });
  requireNumber("thermal resistance", cycle.resistance, { above: 0, unit: "K/W" });
  requireNumber("time constant", cycle.timeConstant, { above: 0, unit: "s" });
  requireNumber("arc time", cycle.arcTime, { above: 0, unit: "s" });
  requireNumber("dwell", cycle.dwell, { min: 0, unit: "s" });
  const steady = cycle.netPower * cycle.resistance;
  const period = cycle.arcTime + cycle.dwell;
  const peak =
    (steady * Math.expm1(-cycle.arcTime / cycle.timeConstant)) / Math.expm1(-period / cycle.timeConstant);
  return {
    peak,
    interpass: peak * Math.exp(-cycle.dwell / cycle.timeConstant),
    mean: (steady * cycle.arcTime) / period,
  };
}

const practice = "common practice";

/**
 * Highest interpass temperature to begin with, by alloy family; a procedure or data sheet wins.
 *
 * @example interpassLimits["carbon steel"].value // => 250
 */
export const interpassLimits: Readonly<Record<AlloyFamily, SourcedValue>> = {
  "carbon steel": sourced(250, "degC", "from memory", practice, [150, 250]),
  "austenitic stainless": sourced(150, "degC", "from memory", practice),
  nickel: sourced(100, "degC", "from memory", practice, [100, 150]),
  aluminium: sourced(100, "degC", "from memory", practice, [70, 100]),
  titanium: sourced(100, "degC", "from memory", practice, [100, 150]),
  copper: sourced(65, "degC", "verified", "AWS A5.7 guidance for ERCuSi-A, 150 degF"),
};
