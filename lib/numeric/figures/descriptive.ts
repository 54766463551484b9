import {
  mean as meanRaw,
  medianAbsoluteDeviation,
  median as medianRaw,
  quantile as quantileRaw,
  sampleStandardDeviation,
} from "simple-statistics";
import { requireThat } from "../../errors/index.js";

/**
 * Descriptive figures from simple-statistics. Its normal tables carry 3-4 digits: distributions come
 * from `distributions.ts` instead.
 */
function needs(name: string, values: readonly number[], count: number): number[] {
  requireThat(
    values.length >= count,
    `${name} needs at least ${count} value${count === 1 ? "" : "s"}, got ${values.length}`,
  );
  return values as number[];
}

/** Arithmetic mean (compensated sum). */
export function mean(values: readonly number[]): number {
  return meanRaw(needs("mean", values, 1));
}

/** Median. */
export function median(values: readonly number[]): number {
  return medianRaw(needs("median", values, 1));
}

/** Quantile, definition 7 of Hyndman and Fan, 0 <= p <= 1. */
export function quantile(values: readonly number[], p: number): number {
  return quantileRaw(needs("quantile", values, 1), p);
}

/** Sample standard deviation, divisor n - 1. */
export function standardDeviation(values: readonly number[]): number {
  return sampleStandardDeviation(needs("standardDeviation", values, 2));
}

/** Robust standard deviation: 1.4826 x the median absolute deviation from the median. */
export function robustStandardDeviation(values: readonly number[]): number {
  return 1.482602218505602 * medianAbsoluteDeviation(needs("robustStandardDeviation", values, 1));
}
