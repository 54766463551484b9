import { normalCdf, normalPdf } from "../../numeric/index.js";

/** Mean and variance of a number. */
export interface Moments {
  readonly mean: number;
  readonly variance: number;
}

/** Limits of a number; infinite where open. */
export interface Limits {
  readonly lower: number;
  readonly upper: number;
}

/** Chance below which limits lie too far out for the moments between them to be worked out. */
const REMOTE = 1e-6;

/** Chance that a normal number lies within limits. */
export function chanceWithin({ mean, variance }: Moments, { lower, upper }: Limits): number {
  const sd = Math.sqrt(variance);
  return normalCdf((upper - mean) / sd) - normalCdf((lower - mean) / sd);
}

/**
 * Moments of a normal number once it is known to lie within limits. Where the limits are closed and lie far from it, those
 * of a number spread evenly between them.
 *
 * @returns undefined where that tells nothing that can be worked out
 * @source N. L. Johnson, S. Kotz and N. Balakrishnan, Continuous Univariate Distributions 1 (2nd ed. 1994) 13.10.1
 */
export function momentsWithin(before: Moments, { lower, upper }: Limits): Moments | undefined {
  const sd = Math.sqrt(before.variance);
  const inside = chanceWithin(before, { lower, upper });
  if (inside < REMOTE) {
    return Number.isFinite(upper - lower)
      ? { mean: 0.5 * (lower + upper), variance: (upper - lower) ** 2 / 12 }
      : undefined;
  }
  const [a, b] = [(lower - before.mean) / sd, (upper - before.mean) / sd];
  const times = (z: number): number => (Number.isFinite(z) ? z * normalPdf(z) : 0);
  const shift = (normalPdf(a) - normalPdf(b)) / inside;
  const variance = before.variance * (1 + (times(a) - times(b)) / inside - shift ** 2);
  return { mean: before.mean + sd * shift, variance: Math.max(variance, 1e-6 * before.variance) };
}

/**
 * The reading, with its own error, that says as much of a number as that it lies within limits.
 *
 * @returns undefined where the limits say nothing that was not expected
 * @source T. P. Minka, Expectation propagation for approximate Bayesian inference, UAI 17 (2001) 362: one site
 */
export function readingWithin(before: Moments, limits: Limits): Moments | undefined {
  const after = momentsWithin(before, limits);
  if (after === undefined || after.variance > 0.98 * before.variance) return undefined;
  const variance = 1 / (1 / after.variance - 1 / before.variance);
  return { mean: variance * (after.mean / after.variance - before.mean / before.variance), variance };
}
