import { requireNumber } from "../../errors/index.js";

/** Oxygen in air, ppm by volume. */
export const AIR_OXYGEN = 209500;

/** An enclosure being purged, well mixed. */
export interface Purge {
  /** V, free volume, L. */
  readonly volume: number;
  /** Q, L/min. */
  readonly flow: number;
  /** q_l, air leaking in, L/min. Default 0. */
  readonly leak?: number;
  /** C_s, oxygen in the supply, ppm. Default 5 (welding argon, trade text). */
  readonly supplyOxygen?: number;
  /** C0, ppm. Default air. */
  readonly startOxygen?: number;
  /** m, volumes exchanged per volume fed; 1 well mixed, above 1 displacing. Default 1. */
  readonly mixing?: number;
}

/** Checked purge with its defaults in place, its floor and its rate (1/min). */
function settle(purge: Purge): { readonly start: number; readonly floor: number; readonly rate: number } {
  const { volume, flow, leak = 0, supplyOxygen = 5, startOxygen = AIR_OXYGEN, mixing = 1 } = purge;
  requireNumber("enclosure volume", volume, { above: 0, unit: "L" });
  requireNumber("purge flow", flow, { above: 0, unit: "L/min" });
  requireNumber("leak", leak, { min: 0, unit: "L/min" });
  requireNumber("oxygen in the supply", supplyOxygen, { min: 0, max: AIR_OXYGEN, unit: "ppm" });
  requireNumber("oxygen at the start", startOxygen, { min: 0, max: 1e6, unit: "ppm" });
  requireNumber("mixing factor", mixing, { min: 0.3, max: 3 });
  return {
    start: startOxygen,
    floor: (flow * supplyOxygen + leak * AIR_OXYGEN) / (flow + leak),
    rate: (mixing * (flow + leak)) / volume,
  };
}

/**
 * Oxygen an enclosure settles at: supply and leak mixed.
 *
 *     C_ss = (Q C_s + q_l 209500)/(Q + q_l)
 *
 * @returns ppm
 * @example oxygenFloor({ volume: 200, flow: 10, leak: 0.005 }) // => 109.7
 */
export function oxygenFloor(purge: Purge): number {
  return settle(purge).floor;
}

/**
 * Oxygen after purging for a time.
 *
 *     C = C_ss + (C0 - C_ss) exp(-m (Q + q_l) t/V)
 *
 * @param time - min
 * @returns ppm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example oxygenAfter({ volume: 200, flow: 10, leak: 0.005 }, 60) // => 10519
 */
export function oxygenAfter(purge: Purge, time: number): number {
  const { start, floor, rate } = settle(purge);
  return (
    floor + (start - floor) * Math.exp(-rate * requireNumber("purge time", time, { min: 0, unit: "min" }))
  );
}

/**
 * Purge time to an oxygen level.
 *
 * @param target - ppm
 * @returns min; null when the floor lies at or above the target, so that no time is enough
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example purgeTime({ volume: 200, flow: 10, supplyOxygen: 0 }, 100) // => 152.946
 */
export function purgeTime(purge: Purge, target: number): number | null {
  const { start, floor, rate } = settle(purge);
  requireNumber("oxygen target", target, { above: 0, unit: "ppm" });
  if (start <= target) return 0;
  return floor >= target ? null : Math.log((start - floor) / (target - floor)) / rate;
}

/**
 * Volumes of gas a well-mixed, tight enclosure takes from air to an oxygen level: ln(C0/C).
 *
 * @param target - ppm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example purgeVolumes(100) // => 7.6473
 */
export function purgeVolumes(target: number, start: number = AIR_OXYGEN): number {
  requireNumber("oxygen at the start", start, { above: 0, unit: "ppm" });
  requireNumber("oxygen target", target, { above: 0, max: start, unit: "ppm" });
  return Math.log(start / target);
}

/**
 * Oxygen after pumping down and refilling several times. Only for an enclosure rated for vacuum.
 *
 *     C0 (p/1013)^n
 *
 * @param pressure - mbar reached each time
 * @returns ppm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example oxygenAfterRefills(50, 3) // => 25.2
 */
export function oxygenAfterRefills(pressure: number, times: number, start: number = AIR_OXYGEN): number {
  requireNumber("pressure", pressure, { above: 0, max: 1013, unit: "mbar" });
  requireNumber("times", times, { min: 0 });
  return start * (pressure / 1013) ** times;
}
