import type { Affine } from "./affine.js";

/** The scale a measured response is modelled on: `(t(value) - origin) / scale`, t the logarithm or nothing. */
export interface LinkScale {
  readonly log: boolean;
  readonly origin: number;
  readonly scale: number;
}

/**
 * How a measured response follows from the hidden quantities: on its {@link LinkScale} it is
 * `offset + sum of coefficient times latent`.
 */
export interface ResponseLink extends LinkScale {
  readonly response: string;
  readonly offset: Affine;
  /** One per latent; the response's own latent, found by inverting the link, stands at `own`. */
  readonly coefficients: readonly number[];
  readonly own: number;
}

/**
 * A value of the response, in its unit, on its link's scale: its logarithm where the link takes one, less an origin, over
 * a scale. -Infinity for one at or below 0 whose logarithm is due.
 */
export function toLinkScale({ log, origin, scale }: LinkScale, value: number): number {
  return ((log ? (value > 0 ? Math.log(value) : Number.NEGATIVE_INFINITY) : value) - origin) / scale;
}

/**
 * The value of the response, in its unit, at a place on its link's scale: the inverse of {@link toLinkScale}.
 */
export function fromLinkScale({ log, origin, scale }: LinkScale, scaled: number): number {
  const level = origin + scale * scaled;
  return log ? Math.exp(level) : level;
}
