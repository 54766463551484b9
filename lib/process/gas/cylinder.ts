import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { argonDensity } from "./argon-density.js";

/**
 * Argon in a cylinder as gas at 15 degC and 1 bar, which is how it is sold.
 *
 * @param volume - water volume, L
 * @param pressure - absolute, bar
 * @param temperature - degC. Default 15
 * @returns m3
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example cylinderContent(50, 200) // => 10.67
 */
export function cylinderContent(volume: number, pressure: number, temperature = 15): number {
  requireNumber("cylinder volume", volume, { above: 0, unit: "L" });
  return ((volume / 1000) * argonDensity(pressure, temperature)) / argonDensity(1, 15);
}

/** Pressure to leave in a cylinder so that no air gets in, bar (common practice, 5 to 10). */
const RESIDUAL_PRESSURE = 7;

/**
 * Argon that may be drawn from a cylinder before the pressure falls to 7 bar, which is left in so that no air gets in.
 *
 * @param content - m3 at 15 degC and 1 bar
 * @param volume - L, water volume
 * @returns m3
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example usableGas(10.67, 50) // => 10.318
 */
export function usableGas(content: number, volume: number): number {
  requireNumber("cylinder content", content, { min: 0, unit: "m3" });
  return Math.max(0, content - cylinderContent(volume, RESIDUAL_PRESSURE));
}

/**
 * Whether a cylinder lasts for a forecast use with a fifth to spare.
 *
 * @param content - m3 at 15 degC and 1 bar
 * @param needed - m3
 * @param volume - L, water volume, for the residual
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkCylinder(10.7, 9.5, 50).map(({ code }) => code) // => ["gas-tight"]
 */
export function checkCylinder(content: number, needed: number, volume: number): readonly Finding[] {
  requireNumber("gas needed", needed, { min: 0, unit: "m3" });
  const usable = usableGas(content, volume);
  if (usable >= 1.2 * needed) return [];
  const short = usable < needed;
  return [
    {
      code: short ? "gas-short" : "gas-tight",
      severity: short ? "error" : "warning",
      message: `${fixed(usable, 2)} m3 usable for ${fixed(needed, 2)} m3 needed`,
      advice: "plan a change-over without an arc stop, from a manifold or at a layer end",
    },
  ];
}
