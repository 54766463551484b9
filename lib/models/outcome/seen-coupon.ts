/** A place on the axes where a coupon may have been run. */
export interface LikelyPlace {
  readonly point: Float64Array;
  /** Chance that it was run there, times that nothing but the check asked about spoilt it. */
  readonly share: number;
}

/** What the memory of a run leaves open. */
export interface Memory {
  /** Chance that it was not what it is remembered for, before its sizes are looked at. */
  readonly wrong: number;
  /** Covariance of the errors of the responses, on the links' scales, row by row: of readings, and of settings not named. */
  readonly blur: Float64Array;
  /** Variance of each hidden quantity for the same reason. */
  readonly latentBlur: Float64Array;
  /** Where it may have been run, by check with a verdict. */
  readonly places: ReadonlyMap<string, readonly LikelyPlace[]>;
}

/** A logged coupon as the model sees it, whichever study it comes from. */
export interface SeenCoupon {
  readonly point: Float64Array;
  readonly block: number;
  /** Place in its block, from -0.5 for the first coupon to 0.5 for the last. */
  readonly place: number;
  /** Measured responses on their links' scales, by their place in the model. */
  readonly responses: ReadonlyMap<number, number>;
  /** Hidden quantities it shows, by their place in the model. */
  readonly latents: ReadonlyMap<number, number>;
  /** Checks with a verdict. */
  readonly passed: ReadonlyMap<string, boolean>;
  /** Responses, checks and factors that were looked at again after they were logged. */
  readonly checkedAgain: ReadonlySet<string>;
  /** Present where it was never logged, but is remembered. */
  readonly memory?: Memory;
}
