/** A logged coupon as the model sees it, whichever study it comes from. */
export interface SeenCoupon {
  readonly point: Float64Array;
  readonly block: number;
  /** Hidden quantities it shows, by their place in the model. */
  readonly latents: ReadonlyMap<number, number>;
  /** Checks with a verdict. */
  readonly passed: ReadonlyMap<string, boolean>;
}
