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
}

/** Log-normal prior of a margin's softness, and of the share of coupons that fail for no reason. */
const SOFTNESS = { median: 0.035, spread: 0.75 } as const;
const LAPSE = { median: 0.01, spread: 0.7, most: 0.3 } as const;
/** A threshold may lie much further out than expected: many ways to fail never show on a given rig. */
const OUTWARD = 3;

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
  const factor = margin.side / (SOFTNESS.median * Math.exp(SOFTNESS.spread * z[1 + axes]!));
  for (let j = 0; j < axes; j++) {
    slopes[j] = -factor * (margin.quantity.slopes[j]! + margin.slopeSds[j]! * z[1 + j]!);
  }
  const out = z[0]! + margin.rarity;
  const shift = margin.side * (out > 0 ? OUTWARD * out : out);
  return factor * (margin.threshold + margin.thresholdSd * shift - margin.quantity.constant);
}

/** Share of coupons that fail for no reason, from its standard normal parameter. */
export const lapseOf = (z: number): number => Math.min(LAPSE.most, LAPSE.median * Math.exp(LAPSE.spread * z));
