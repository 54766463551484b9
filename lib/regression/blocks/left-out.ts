import { coefficientsOf, designBasis, type Fold } from "../common/index.js";
import { type BlockedObservations, blockIndex } from "./blocked-observations.js";
import { atRatio, sumByBlock } from "./reml-likelihood.js";

/**
 * Estimates of a fit with random blocks without the rows of each fold, the variance ratio held at that of all rows: by
 * generalised least squares on the rows that stay. A row foreseen from them by `x . beta` is foreseen as one of a block
 * to come: the shift its own block shows is not used.
 *
 * @returns per fold one estimate per name, or undefined where the rows that stay do not determine what all rows did
 */
export function blockEstimatesWithout({
  data,
  names,
  ratio,
  folds,
}: {
  readonly data: BlockedObservations;
  readonly names: readonly string[];
  /** Block variance over error variance. */
  readonly ratio: number;
  readonly folds: readonly Fold[];
}): readonly (readonly number[] | undefined)[] {
  const { rank } = designBasis(data.x, names);
  return folds.map(({ without }) => {
    const gone = new Set(without);
    const stay = <T>(list: readonly T[]): readonly T[] => list.filter((_, i) => !gone.has(i));
    const rest = { x: stay(data.x), y: stay(data.y), block: stay(data.block) };
    if (rest.y.length < rank) return undefined;
    const basis = designBasis(rest.x, names);
    if (basis.rank < rank) return undefined;
    const { labels, block } = blockIndex(rest);
    const { gamma } = atRatio(sumByBlock({ basis, y: rest.y, block, blocks: labels.length }), ratio);
    return coefficientsOf(basis, gamma);
  });
}
