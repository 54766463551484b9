import {
  mean as meanRaw,
  medianAbsoluteDeviation,
  median as medianRaw,
  quantile as quantileRaw,
  sampleStandardDeviation,
} from "simple-statistics";
import { requireNumber, requireThat } from "../../errors/index.js";
import { counted } from "../format/index.js";

/**
 * Descriptive figures from simple-statistics. Its normal tables carry 3-4 digits: distributions come
 * from `distributions.ts` instead.
 */
function needs(name: string, values: readonly number[], count: number): number[] {
  requireThat(
    values.length >= count,
    `${name} needs at least ${counted(count, "value")}, got ${values.length}`,
  );
  return values as number[];
}

/**
 * Arithmetic mean, by a compensated sum; one value far off moves it, see {@link median}.
 *
 * @throws {BeadbenchError} `bad-argument` for an empty list
 * @example mean([1, 2, 6]) // => 3
 */
export function mean(values: readonly number[]): number {
  return meanRaw(needs("mean", values, 1));
}

/**
 * Median: the middle value, or the mean of the two in the middle.
 *
 * @throws {BeadbenchError} `bad-argument` for an empty list
 * @example median([1, 2, 6, 100]) // => 4
 */
export function median(values: readonly number[]): number {
  return medianRaw(needs("median", values, 1));
}

/**
 * Quantile by straight lines between the ordered values; poor in the tails of few values.
 *
 * @param p - from 0 (smallest) to 1 (largest)
 * @throws {BeadbenchError} `bad-argument` for an empty list or a p outside 0 to 1
 * @source Hyndman and Fan, Sample quantiles in statistical packages, American Statistician 50 (1996), definition 7
 * @example quantile([1, 2, 3, 4], 0.25) // => 1.75
 */
export function quantile(values: readonly number[], p: number): number {
  return quantileRaw(needs("quantile", values, 1), requireNumber("quantile: p", p, { min: 0, max: 1 }));
}

/**
 * Sample standard deviation, divisor n - 1; of few values it is itself uncertain (of 5 by about a third).
 *
 * @throws {BeadbenchError} `bad-argument` for fewer than two values
 * @example standardDeviation([1, 3]) // => 1.41421
 */
export function standardDeviation(values: readonly number[]): number {
  return sampleStandardDeviation(needs("standardDeviation", values, 2));
}

/**
 * Robust standard deviation: 1.4826 x the median absolute deviation from the median, which for normal values estimates
 * the standard deviation. 0 where more than half of the values are equal.
 *
 * @throws {BeadbenchError} `bad-argument` for an empty list
 * @example robustStandardDeviation([1, 2, 3, 4, 100]) // => 1.4826
 */
export function robustStandardDeviation(values: readonly number[]): number {
  return 1.482602218505602 * medianAbsoluteDeviation(needs("robustStandardDeviation", values, 1));
}
