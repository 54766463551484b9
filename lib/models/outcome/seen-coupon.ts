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
}
