import type { Priors } from "../priors/index.js";
import type { Margin } from "./margins.js";

/**
 * One posterior draw of a check's failure boundary. A coupon passes with chance
 * `(1 - lapse) * product over margins of 1 / (1 + exp(-margin / softness))`, each margin affine on the axes.
 */
export interface BoundaryDraw {
  readonly constants: readonly number[];
  /** Row per margin: slope of (margin / softness) along each axis. */
  readonly slopes: readonly number[];
  readonly lapse: number;
  /** Chance that a verdict is the opposite of what it should be. */
  readonly luck: number;
}

/** Standard normal parameters of one margin: its threshold, a slope per axis, its softness. */
export const marginParameters = (axes: number): number => axes + 2;

/**
 * A margin over its softness as an affine function on the axes.
 *
 * @param z - its standard normal parameters
 * @param slopes - overwritten by the slope along each axis
 * @returns the constant
 */
export function marginLine(margin: Margin, z: Float64Array, slopes: Float64Array): number {
  const axes = slopes.length;
  const factor = margin.side / (margin.softness.median * Math.exp(margin.softness.logSd * z[1 + axes]!));
  for (let j = 0; j < axes; j++) {
    slopes[j] = -factor * (margin.quantity.slopes[j]! + margin.slopeSds[j]! * z[1 + j]!);
  }
  const out = z[0]! + margin.rarity;
  const shift = margin.side * (out > 0 ? margin.outward * out : out);
  return factor * (margin.threshold + margin.thresholdSd * shift - margin.quantity.constant);
}

/** Share of coupons that fail for no reason, from its standard normal parameter. */
export function lapseOf(z: number, { lapse, lapse_spread, lapse_most }: Priors): number {
  return Math.min(lapse_most, lapse * Math.exp(lapse_spread * z));
}

/** Chance that a verdict is wrong, from its standard normal parameter. */
export function luckOf(z: number, { verdict_luck, verdict_luck_spread, verdict_luck_most }: Priors): number {
  return Math.min(verdict_luck_most, verdict_luck * Math.exp(verdict_luck_spread * z));
}
