import type { LatentModel } from "./latent.js";
import type { LatentPosterior } from "./latent-fit.js";

/** Weight of the prior (independent scatter) against the coupons, in coupons. */
const PRIOR_COUPONS = 8;

/**
 * Covariance of the coupon-to-coupon scatter of the measured responses, on the links' scales. What the
 * coupons show is shrunk towards independent responses (inverse Wishart prior).
 *
 * @param found - per latent, the coupons that show it and its value
 * @param rows - basis functions of every coupon
 */
export function responseScatter(
  latent: LatentModel,
  posteriors: readonly LatentPosterior[],
  found: readonly (readonly { readonly i: number; readonly value: number }[])[],
  rows: readonly Float64Array[],
): readonly (readonly number[])[] {
  const residuals = found.map((items, l) => {
    const weights = posteriors[l]!.weights;
    return new Map(items.map(({ i, value }) => [i, value - rows[i]!.reduce((sum, f, a) => sum + f * weights[a]!, 0)]));
  });
  const shown = latent.links.map((link) => {
    const needed = link.coefficients.flatMap((coefficient, l) => (coefficient === 0 ? [] : [l]));
    const byCoupon = new Map<number, number>();
    for (const i of residuals[link.own]!.keys()) {
      byCoupon.set(i, needed.reduce((sum, l) => sum + link.coefficients[l]! * residuals[l]!.get(i)!, 0));
    }
    return byCoupon;
  });
  const sds = latent.links.map((link) => ownScatter(latent, posteriors, link.own));
  const correlation = (a: number, b: number): number => {
    let cross = 0;
    let squareA = 0;
    let squareB = 0;
    let count = 0;
    for (const [i, x] of shown[a]!) {
      const y = shown[b]!.get(i);
      if (y === undefined) continue;
      cross += x * y;
      squareA += x * x;
      squareB += y * y;
      count++;
    }
    if (count < 3) return 0;
    return (cross / Math.sqrt(squareA * squareB || 1)) * (count / (count + PRIOR_COUPONS));
  };
  return sds.map((sd, a) => sds.map((other, b) => (a === b ? sd * sd : correlation(a, b) * sd * other)));
}

/**
 * Scatter of a response. The fullness carries the scatter of width and of height together, so the height's
 * own is what is left when the width's is taken out.
 */
function ownScatter(latent: LatentModel, posteriors: readonly LatentPosterior[], l: number): number {
  const own = posteriors[l]!.scatter;
  const others = latent.links[l]!.coefficients.reduce(
    (sum, coefficient, k) => (k === l || coefficient === 0 ? sum : sum + posteriors[k]!.scatter ** 2),
    0,
  );
  return Math.sqrt(Math.max(own * own - others, 0.3 * own * own));
}
