import { coefficientsOf, designBasis } from "../common/index.js";
import { type BlockedObservations, blockIndex } from "./blocked-observations.js";
import { atRatio, sumByBlock } from "./reml-likelihood.js";

/**
 * Estimates of a fit with random blocks without each row in turn, the variance ratio held at that of all rows:
 *
 *     beta - (X'V^-1 X)^-1 X'V^-1 d_i (V^-1 r)_i / P_ii,   d_i 1 at row i, r = y - X beta
 *
 * A row foreseen from them by `x . beta` is foreseen as one of a block to come: the shift its own block shows is not
 * used, though the other rows of its block have their say in beta.
 *
 * @param ratio - block variance over error variance
 * @returns one list of estimates per row, in the order of `names`
 * @source the mean-shift form of row deletion: R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982,
 *   section 2.2.2, in the metric of V
 */
export function blockEstimatesWithout(
  data: BlockedObservations,
  names: readonly string[],
  ratio: number,
): readonly (readonly number[])[] {
  const basis = designBasis(data.x, names);
  const { labels, block } = blockIndex(data);
  const sums = sumByBlock(basis, data.y, block, labels.length);
  const { gamma, inverse, pulls } = atRatio(sums, ratio);
  const { rank, q } = basis;
  return data.y.map((y, i) => {
    const b = block[i]!;
    const weight = ratio / (1 + sums.counts[b]! * ratio);
    const half = Float64Array.from(
      { length: rank },
      (_, k) => q[i * rank + k]! - weight * sums.designSums[b * rank + k]!,
    );
    const moved = Float64Array.from({ length: rank }, (_, k) =>
      half.reduce((sum, value, m) => sum + inverse[k * rank + m]! * value, 0),
    );
    let residual = y;
    for (let k = 0; k < rank; k++) residual -= q[i * rank + k]! * gamma[k]!;
    const room = 1 - weight - half.reduce((sum, value, k) => sum + value * moved[k]!, 0);
    // A row that alone carries a term is foreseen by nothing and moves nothing.
    const shift = room < 1e-10 ? 0 : (residual - ratio * pulls[b]!) / room;
    return coefficientsOf(
      basis,
      gamma.map((value, k) => value - shift * moved[k]!),
    );
  });
}
