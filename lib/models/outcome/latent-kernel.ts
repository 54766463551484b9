import { dot } from "../../numeric/index.js";
import { makeBasis, openCorrelation } from "./departure-basis.js";
import type { OutcomeModel } from "./outcome-model.js";

/** A point with what its covariances with others are worked out from. */
export interface KernelPoint {
  readonly point: Float64Array;
  readonly functions: Float64Array;
  /** Per latent, the doubt about its weights carried to this point. */
  readonly roots: readonly Float64Array[];
}

/** How far what is not known of a hidden quantity at one setting is the same as at another. */
export interface LatentKernel {
  readonly at: (point: Float64Array) => KernelPoint;
  /** Covariance of latent `l` at two points, for what settings do: scatter and days apart. */
  readonly covariance: (l: number, one: KernelPoint, other: KernelPoint) => number;
}

/** Makes the covariances of a model's hidden quantities between settings. */
export function makeLatentKernel({ basis: shape, posteriors }: OutcomeModel): LatentKernel {
  const basis = makeBasis(shape);
  const { size } = basis;
  const roots = posteriors.map((posterior) => Float64Array.from(posterior.root));
  const open = openCorrelation(shape);
  return {
    at(point) {
      const functions = new Float64Array(size);
      basis.evaluate(point, functions);
      const carried = roots.map((root) => {
        const sums = new Float64Array(size);
        for (let a = 0; a < size; a++) {
          for (let b = 0; b <= a; b++) sums[b]! += root[a * size + b]! * functions[a]!;
        }
        return sums;
      });
      return { point, functions, roots: carried };
    },
    covariance: (l, one, other) =>
      dot(one.roots[l]!, 0, other.roots[l]!, 0, size) + posteriors[l]!.departure ** 2 * open(one, other),
  };
}
