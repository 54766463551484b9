/**
 * What a model foretells at one point. Means and covariances are on the links' scales, covariances row by row.
 * It stays good whatever else the predictor is asked meanwhile; finishing one point before the next is quicker
 * than going back and forth, which works everything out anew.
 */
export interface PredictionAt {
  /** Expected values; quick. */
  readonly means: (into: Float64Array) => void;
  /** Covariance of a new coupon on a new day: scatter, days, doubt about the models, settings. */
  readonly covariance: (into: Float64Array) => void;
  /** Variance of response `r`; quicker than `covariance` where one will do. */
  readonly variance: (r: number) => number;
  /** Expected values if posterior draw `m` were the truth. */
  readonly drawMeans: (m: number, into: Float64Array) => void;
  /** Covariance about a draw: scatter, days and settings alone. */
  readonly drawCovariance: (into: Float64Array) => void;
  /** Chance that check `c` is passed, averaged over the draws. */
  readonly pass: (c: number) => number;
  /** Chance that check `c` is passed if draw `m` were the truth. */
  readonly drawPass: (c: number, m: number) => number;
}
