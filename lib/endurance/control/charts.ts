/** Mean and standard deviation of the range of two normal values, in their standard deviation: 1.128 and 0.853. */
export const RANGE_OF_TWO = { mean: 2 / Math.sqrt(Math.PI), sd: Math.sqrt(2 - 4 / Math.PI) } as const;

/** Limits of the chart of single values, in standard deviations. */
export const INDIVIDUAL_WIDTH = 3;
/** Upper limit of the moving range over its mean, 3.267 (D4 of two; the lower one, D3, is 0). */
export const RANGE_LIMIT = 1 + (3 * RANGE_OF_TWO.sd) / RANGE_OF_TWO.mean;

/**
 * Share of the newest reading in the moving average, and its limits in standard deviations of the average: a steady rig
 * signals once in about 500 readings (Lucas and Saccucci, Technometrics 32 (1990) 1).
 */
export const EWMA = { share: 0.2, width: 2.962 } as const;
/**
 * Slack and decision limit of the cumulative sums, in standard deviations: a steady rig signals once in about 465
 * readings, a shift by one standard deviation is seen after about 10 (common tables; computed in the tests).
 */
export const CUSUM = { slack: 0.5, limit: 5 } as const;

/** Steady centre and scatter that readings are held against. */
export interface Steady {
  readonly centre: number;
  readonly sd: number;
}

/**
 * Ranges of neighbouring readings; the first reading has none.
 *
 * @example movingRanges([49.6, 47.6, 49.9]).map((range) => Math.round(10 * range) / 10) // => [2, 2.3]
 */
export const movingRanges = (values: readonly number[]): readonly number[] =>
  values.slice(1).map((value, i) => Math.abs(value - values[i]!));

/**
 * Centre and scatter from readings: the mean, and the mean moving range over 1.128, which a slow drift hardly inflates.
 *
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2
 */
export function steadyFrom(values: readonly number[]): Steady {
  const average = (list: readonly number[]): number => list.reduce((sum, x) => sum + x, 0) / list.length;
  return { centre: average(values), sd: average(movingRanges(values)) / RANGE_OF_TWO.mean };
}

/** One place of an exponentially weighted moving average. */
export interface EwmaPoint {
  readonly average: number;
  /** Standard deviation of the average of a steady rig. */
  readonly sd: number;
}

/**
 * Exponentially weighted moving average, begun at the centre.
 *
 *     z_i = share x_i + (1 - share) z_(i-1),  sd_i = sd sqrt(share/(2 - share) (1 - (1 - share)^(2i)))
 *
 * @param share - of the newest reading, above 0 to 1. Default 0.2
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4; Roberts, Technometrics 1 (1959) 239
 * @example ewma([52, 47], { centre: 50, sd: 2.0539 }, 0.3).map(({ average }) => average) // => [50.6, 49.52]
 */
export function ewma(
  values: readonly number[],
  { centre, sd }: Steady,
  share: number = EWMA.share,
): readonly EwmaPoint[] {
  let average = centre;
  return values.map((value, i) => {
    average = share * value + (1 - share) * average;
    const gathered = (share / (2 - share)) * (1 - (1 - share) ** (2 * (i + 1)));
    return { average, sd: sd * Math.sqrt(gathered) };
  });
}

/** One place of the two cumulative sums, in the reading's unit. */
export interface CusumPoint {
  readonly up: number;
  readonly down: number;
}

/**
 * Cumulative sums of what readings exceed, or fall short of, the centre by more than the slack; never below 0.
 *
 * @param slack - in standard deviations: half the shift to be found. Default 0.5
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3; Page, Biometrika 41 (1954) 100
 * @example cusum([328.33, 327.25], { centre: 325, sd: 0.635 }).at(-1).up // => 4.945
 */
export function cusum(
  values: readonly number[],
  { centre, sd }: Steady,
  slack: number = CUSUM.slack,
): readonly CusumPoint[] {
  let [up, down] = [0, 0];
  return values.map((value) => {
    up = Math.max(0, up + value - centre - slack * sd);
    down = Math.max(0, down + centre - value - slack * sd);
    return { up, down };
  });
}
