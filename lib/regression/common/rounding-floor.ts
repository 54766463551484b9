import type { Finding } from "../../errors/index.js";

/** Residuals below this many units of rounding have fewer than three digits of their own. */
const units = 1000;

/**
 * Whether a weighted sum of squares is no larger than the rounding of the numbers it is made of.
 *
 * @param bulk - length of those numbers, weighted alike
 */
export function isRounding(rss: number, bulk: number): boolean {
  return !(Math.sqrt(rss) >= units * Number.EPSILON * bulk);
}

/**
 * One finding where residuals are as small as the rounding of the numbers they are differences of: their sum of squares,
 * and with it every standard error and interval, then tells of rounding and not of scatter.
 *
 * @param rss - weighted residual sum of squares
 * @param bulk - length of the terms the fitted values are summed from, or of y, whichever is larger; weighted alike
 */
export function roundingFloor(rss: number, bulk: number): Finding[] {
  if (!isRounding(rss, bulk)) return [];
  return [
    {
      code: "rounding-floor",
      severity: "warning",
      message:
        "the residuals are no larger than the rounding of the numbers: standard errors and intervals tell nothing of the scatter",
      advice:
        "check whether the responses were computed or copied; measured ones carry scatter, which repeats would show",
    },
  ];
}
