import { choleskyInPlace, choleskyLogDeterminant, findRoot, tCdf } from "../../numeric/index.js";
import { type ConvergedFit, type Interval, tFactor } from "../common/index.js";

/** A fit under weights that may be the right ones. */
export interface WeighedFit {
  readonly fit: ConvergedFit;
  /** Of each row, relative to each other. */
  readonly variances: readonly number[];
}

/** Log of the restricted likelihood, the scale of the error integrated out; but for a constant. */
function logEvidence({ fit, variances }: WeighedFit): number {
  const free = fit.standardErrors.flatMap((sd, j) => (sd > 0 ? [j] : []));
  const size = free.length;
  const unscaled = new Float64Array(size * size);
  free.forEach((j, a) => {
    free.forEach((k, b) => {
      unscaled[a * size + b] = fit.covariance[j]![k]! / fit.residualSd ** 2;
    });
  });
  choleskyInPlace(unscaled, size);
  return (
    0.5 * choleskyLogDeterminant(unscaled, size) -
    0.5 * variances.reduce((sum, variance) => sum + Math.log(variance), 0) -
    0.5 * fit.df * Math.log(fit.rss)
  );
}

/**
 * Intervals that allow for not knowing the weights: fits under different ones are averaged by how likely these make the
 * residuals. One per parameter that is not at a bound.
 *
 *     F(v) = sum_k p_k T_df((v - estimate_k) / standard error_k),   ends at (1 - level)/2 and (1 + level)/2
 *
 * @param fits - all of the same rows and model, each with scatter
 * @source R. J. Carroll and D. Ruppert, Transformation and Weighting in Regression (1988), section 3.3, for the restricted
 *   likelihood of the weights
 */
export function intervalsOverWeights(
  fits: readonly WeighedFit[],
  estimates: readonly number[],
  level: number,
): readonly Interval[] {
  const logs = fits.map(logEvidence);
  const most = Math.max(...logs);
  const weights = logs.map((value) => Math.exp(value - most));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return fits[0]!.fit.parameters.flatMap((name, j) => {
    const parts = fits.flatMap(({ fit }, k) =>
      fit.standardErrors[j]! > 0
        ? [{ at: fit.estimates[j]!, sd: fit.standardErrors[j]!, df: fit.df, share: weights[k]! / total }]
        : [],
    );
    if (parts.length < fits.length) return [];
    const end = (chance: number): number => {
      const below = (v: number): number =>
        parts.reduce((sum, { at, sd, df, share }) => sum + share * tCdf((v - at) / sd, df), 0) - chance;
      const reach = parts.map(({ at, sd, df }) => at + Math.sign(chance - 0.5) * tFactor(level, df) * sd);
      const [lower, upper] = [Math.min(...reach), Math.max(...reach)];
      return lower === upper ? lower : findRoot({ f: below, lower, upper }).x;
    };
    return [
      { name, estimate: estimates[j]!, lower: end((1 - level) / 2), upper: end((1 + level) / 2), level },
    ];
  });
}
