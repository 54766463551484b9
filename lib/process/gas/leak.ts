import { requireNumber } from "../../errors/index.js";
import { AIR_OXYGEN } from "./purge.js";

/**
 * Leak of a closed enclosure from its falling pressure, at the test pressure only.
 *
 *     q = (V/p) dp/dt
 *
 * @param volume - V, L
 * @param pressure - p, absolute, mbar
 * @param fall - dp/dt, mbar/min
 * @returns L/min
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example pressureLeak(200, 1013, 1) // => 0.1974
 */
export function pressureLeak(volume: number, pressure: number, fall: number): number {
  requireNumber("enclosure volume", volume, { above: 0, unit: "L" });
  requireNumber("absolute pressure", pressure, { above: 0, unit: "mbar" });
  requireNumber("pressure fall", fall, { min: 0, unit: "mbar/min" });
  return (volume / pressure) * fall;
}

/**
 * Air leaking into an enclosure from its rising oxygen with the flow off. Water from the walls looks like
 * a leak in pressure, not in oxygen.
 *
 *     q = V ln((209500 - C1)/(209500 - C2)) / t
 *
 * @param volume - V, L
 * @param oxygen - C1 and C2, ppm
 * @param time - t between the readings, min
 * @returns L/min
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example oxygenLeak(200, [100, 160], 10) // => 0.00573
 */
export function oxygenLeak(
  volume: number,
  oxygen: readonly [from: number, to: number],
  time: number,
): number {
  requireNumber("enclosure volume", volume, { above: 0, unit: "L" });
  requireNumber("oxygen at the start", oxygen[0], { min: 0, below: AIR_OXYGEN, unit: "ppm" });
  requireNumber("oxygen at the end", oxygen[1], { min: oxygen[0], below: AIR_OXYGEN, unit: "ppm" });
  requireNumber("time", time, { above: 0, unit: "min" });
  return (volume * Math.log((AIR_OXYGEN - oxygen[0]) / (AIR_OXYGEN - oxygen[1]))) / time;
}

/**
 * Largest leak with which an enclosure still settles below an oxygen level.
 *
 *     q = Q (C - C_s)/(209500 - C)
 *
 * @param flow - Q, L/min
 * @param target - C, ppm, above the supply
 * @param supplyOxygen - C_s, ppm. Default 5
 * @returns L/min
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example largestLeak(10, 50) // => 0.002148
 */
export function largestLeak(flow: number, target: number, supplyOxygen = 5): number {
  requireNumber("purge flow", flow, { above: 0, unit: "L/min" });
  requireNumber("oxygen in the supply", supplyOxygen, { min: 0, unit: "ppm" });
  requireNumber("oxygen target", target, { above: supplyOxygen, below: AIR_OXYGEN, unit: "ppm" });
  return (flow * (target - supplyOxygen)) / (AIR_OXYGEN - target);
}
