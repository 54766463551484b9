import { BeadbenchError, requireCount, requireNumber } from "../../errors/index.js";
import { normalQuantile, tQuantile } from "../../numeric/distributions/index.js";

/**
 * Repeatability from pairs measured twice.
 *
 *     s = sqrt(sum d^2 / (2n))
 *
 * @param differences - second less first reading of each pair
 * @throws {BeadbenchError} `not-enough-data` without pairs
 * @example repeatability([0.05, -0.03, 0.02, 0.06, -0.04]) // => 0.0300
 */
export function repeatability(differences: readonly number[]): number {
  if (differences.length === 0) {
    throw new BeadbenchError("not-enough-data", "repeatability needs at least one pair measured twice");
  }
  const sum = differences.reduce((total, d) => total + requireNumber("difference of a pair", d) ** 2, 0);
  return Math.sqrt(sum / (2 * differences.length));
}

/**
 * Relative uncertainty of a bead area c w h from the gauge sd of width and height.
 *
 * @param size - mm
 * @param sd - mm
 * @returns share
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source propagation of independent errors
 * @example areaUncertainty({ width: 6, height: 2 }, { width: 0.05, height: 0.05 }) // => 0.0263523
 */
export function areaUncertainty(
  size: { readonly width: number; readonly height: number },
  sd: { readonly width: number; readonly height: number },
): number {
  requireNumber("bead width", size.width, { above: 0, unit: "mm" });
  requireNumber("bead height", size.height, { above: 0, unit: "mm" });
  return Math.hypot(sd.width / size.width, sd.height / size.height);
}

/**
 * Coupons per setting that tell two settings apart.
 *
 *     n = 2 (z_(a/2) + z_b)^2 (cv/delta)^2, rounded up
 *
 * @param variation - cv of the process, a share
 * @param difference - delta, smallest difference that matters, a share
 * @param options.level - 1 - alpha, two-sided. Default 0.95
 * @param options.power - Default 0.8
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example couponsToTellApart(0.05, 0.1) // => 4
 */
export function couponsToTellApart(
  variation: number,
  difference: number,
  options: { readonly level?: number; readonly power?: number } = {},
): number {
  const { level = 0.95, power = 0.8 } = options;
  requireNumber("variation (a share, 0.05 for 5 %)", variation, { above: 0, max: 2 });
  requireNumber("difference (a share, 0.1 for 10 %)", difference, { above: 0, max: 2 });
  requireNumber("level", level, { above: 0, below: 1 });
  requireNumber("power", power, { above: 0, below: 1 });
  const z = normalQuantile((1 + level) / 2) + normalQuantile(power);
  return Math.ceil(2 * z * z * (variation / difference) ** 2);
}

/**
 * Half-width of the interval of a mean, in standard deviations: t / sqrt(n).
 *
 * @param count - n, at least 2
 * @param level - Default 0.95
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example meanHalfWidth(5) // => 1.242
 */
export function meanHalfWidth(count: number, level = 0.95): number {
  requireCount("count", count, { min: 2 });
  requireNumber("level", level, { above: 0, below: 1 });
  return tQuantile((1 + level) / 2, count - 1) / Math.sqrt(count);
}
