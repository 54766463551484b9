import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";
import { wireForVolume } from "./mass-balance.js";

/**
 * Wire that runs on after feed-off when the feeder slows exponentially.
 *
 *     f0 tau (1 - exp(-t/tau))
 *
 * @param feed - f0, mm/s
 * @param tau - s
 * @param time - t after feed-off, s
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example coastLength(20, 0.05, 0.2) // => 0.98168
 */
export function coastLength(feed: number, tau: number, time: number): number {
  requireSetting("wire_feed_speed", feed);
  requireNumber("feeder time constant", tau, { above: 0, unit: "s" });
  requireNumber("time after feed-off", time, { min: 0, unit: "s" });
  return -feed * tau * Math.expm1(-time / tau);
}

/**
 * Wire that runs on when the feeder ramps down linearly over `rampTime` s: f0 t_r / 2, mm.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example rampCoastLength(20, 0.1) // => 1
 */
export function rampCoastLength(feed: number, rampTime: number): number {
  requireSetting("wire_feed_speed", feed);
  return (feed * requireNumber("ramp time", rampTime, { min: 0, unit: "s" })) / 2;
}

/**
 * Change of electrode extension over a stop: coasting less burn-back. Negative: burned back towards the
 * tip; positive: grown towards the freezing pool.
 *
 * @param coast - mm, from {@link coastLength} or {@link rampCoastLength}
 * @param meltingSpeed - mm/s at the falling current
 * @param burnBackTime - s the source keeps its power
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example extensionChange(0.98, 30, 0.08) // => -1.42
 */
export function extensionChange(coast: number, meltingSpeed: number, burnBackTime: number): number {
  requireNumber("coasting length", coast, { min: 0, unit: "mm" });
  requireNumber("melting speed", meltingSpeed, { min: 0, unit: "mm/s" });
  return coast - meltingSpeed * requireNumber("burn-back time", burnBackTime, { min: 0, unit: "s" });
}

/**
 * Energy of a linear slope of the current at constant voltage.
 *
 *     U (I1 + I2)/2 t
 *
 * @returns J
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example slopeEnergy({ voltage: 12, from: 150, to: 20, time: 4 }) // => 4080
 */
export function slopeEnergy(slope: {
  readonly voltage: number;
  readonly from: number;
  readonly to: number;
  readonly time: number;
}): number {
  requireSetting("arc_voltage", slope.voltage);
  requireNumber("current at the start of the slope", slope.from, { min: 0, max: 1500, unit: "A" });
  requireNumber("current at the end of the slope", slope.to, { min: 0, max: 1500, unit: "A" });
  requireNumber("slope time", slope.time, { min: 0, unit: "s" });
  return (slope.voltage * (slope.from + slope.to) * slope.time) / 2;
}

/**
 * Whether the wire leaves the pool before it freezes.
 *
 * @param stop.immersion - mm of wire below the pool surface
 * @param stop.clearance - mm to pull clear
 * @param stop.retractSpeed - mm/s
 * @param stop.delay - s from arc-off to retract. Default 0
 * @param freezeTime - s, from `solidificationTime`
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkRetract({ immersion: 2, clearance: 2, retractSpeed: 20 }, 0.49) // => []
 */
export function checkRetract(
  stop: {
    readonly immersion: number;
    readonly clearance: number;
    readonly retractSpeed: number;
    readonly delay?: number;
  },
  freezeTime: number,
): readonly Finding[] {
  requireNumber("immersion", stop.immersion, { min: 0, unit: "mm" });
  requireNumber("clearance", stop.clearance, { min: 0, unit: "mm" });
  requireNumber("retract speed", stop.retractSpeed, { above: 0, unit: "mm/s" });
  requireNumber("retract delay", stop.delay ?? 0, { min: 0, unit: "s" });
  requireNumber("freezing time", freezeTime, { above: 0, unit: "s" });
  const needed = (stop.delay ?? 0) + (stop.immersion + stop.clearance) / stop.retractSpeed;
  if (needed < freezeTime) return [];
  return [
    {
      code: "wire-sticks",
      severity: "warning",
      message: `pulling the wire clear takes ${fixed(needed, 2)} s and the pool freezes in ${fixed(freezeTime, 2)} s`,
      advice: "retract earlier or faster, or slope the current down longer",
    },
  ];
}

/** Metal missing in a stop's crater. */
export interface CraterFill {
  /** mm3. */
  readonly volume: number;
  /** Wire that fills it, mm. */
  readonly wireLength: number;
}

/**
 * Metal a crater lacks: about half the bead section over the pool's length.
 *
 * @param area - mm2 of the bead
 * @param poolLength - mm
 * @param wireDiameter - mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source common practice
 * @example craterFill(7.53982, 4.38, 1.2).wireLength // => 14.6
 */
export function craterFill(area: number, poolLength: number, wireDiameter: number): CraterFill {
  requireNumber("bead area", area, { above: 0, unit: "mm2" });
  requireNumber("pool length", poolLength, { above: 0, unit: "mm" });
  const volume = (area * poolLength) / 2;
  return { volume, wireLength: wireForVolume(volume, { wireDiameter }) };
}

const practice = "common practice, no source";

/** Where to begin with a start and stop sequence; tune on the rig. */
export const sequenceDefaults: Readonly<
  Record<
    | "retract"
    | "upSlope"
    | "poolDwell"
    | "downSlope"
    | "finalCurrent"
    | "postFlowPerAmpere"
    | "leastPostFlow",
    SourcedValue
  >
> = {
  retract: sourced(5, "mm", "from memory", practice, [3, 8]),
  upSlope: sourced(1, "s", "from memory", practice, [0.2, 2]),
  poolDwell: sourced(2, "s", "from memory", practice, [1, 3]),
  downSlope: sourced(4, "s", "from memory", practice, [2, 10]),
  finalCurrent: sourced(15, "A", "from memory", practice, [10, 25]),
  postFlowPerAmpere: sourced(0.1, "s/A", "from memory", practice),
  leastPostFlow: sourced(10, "s", "from memory", `${practice}; longer for titanium and nickel`, [8, 10]),
};

/**
 * Gas after the arc: about a second per ten amperes, not less than ten.
 *
 * @returns s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example postFlowTime(150) // => 15
 */
export function postFlowTime(
  current: number,
  perAmpere: number = sequenceDefaults.postFlowPerAmpere.value,
  least: number = sequenceDefaults.leastPostFlow.value,
): number {
  requireSetting("current", current);
  return Math.max(least, perAmpere * current);
}
