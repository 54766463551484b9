import type { LatentModel } from "./latent.js";
import type { LatentPosterior } from "./latent-fit.js";

/** What the scatter of the responses follows from. */
export interface ScatterEvidence {
  readonly latent: LatentModel;
  readonly posteriors: readonly LatentPosterior[];
  /** Per latent, the coupons behind its residuals. */
  readonly shownBy: readonly (readonly number[])[];
  /** How far coupon `i` counts for latent `l`. */
  readonly trust: (i: number, l: number) => number;
  /** Coupons that the scatter expected, independent between responses, counts for. */
  readonly expectedCounts: number;
}

/**
 * Covariance of the coupon-to-coupon scatter of the measured responses, on the links' scales: what the
 * coupons show, shrunk towards independent responses with the scatter expected (inverse Wishart prior).
 */
export function responseScatter({
  latent,
  posteriors,
  shownBy,
  trust,
  expectedCounts,
}: ScatterEvidence): readonly (readonly number[])[] {
  const residuals = posteriors.map(
    (posterior, l) => new Map(posterior.residuals.map((residual, k) => [shownBy[l]![k]!, residual])),
  );
  const shown = latent.links.map((link) => {
    const needed = link.coefficients.flatMap((coefficient, l) => (coefficient === 0 ? [] : [l]));
    return new Map(
      shownBy[link.own]!.map((i) => [
        i,
        needed.reduce((sum, l) => sum + link.coefficients[l]! * (residuals[l]!.get(i) ?? 0), 0),
      ]),
    );
  });
  return shown.map((first, a) =>
    shown.map((second, b) => {
      let cross = 0;
      let count = 0;
      for (const [i, x] of first) {
        const y = second.get(i);
        if (y === undefined) continue;
        const counts = Math.min(trust(i, latent.links[a]!.own), trust(i, latent.links[b]!.own));
        cross += counts * x * y;
        count += counts;
      }
      const prior = a === b ? expectedCounts * expectedScatter(latent, a) : 0;
      return (prior + cross) / (expectedCounts + count);
    }),
  );
}

/**
 * Variance expected of a response. The fullness carries the scatter of width and of height together, so the
 * height's own is what is left when the width's is taken out.
 */
function expectedScatter(latent: LatentModel, r: number): number {
  const link = latent.links[r]!;
  return link.coefficients.reduce((sum, coefficient, l) => {
    const square = (coefficient * latent.priors[l]!.scatter.median) ** 2;
    return l === link.own ? sum + square : sum - square;
  }, 0);
}
