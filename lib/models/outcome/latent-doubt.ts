import { dot } from "../../numeric/index.js";
import type { LatentPosterior } from "./latent-fit.js";
import type { LatentTie } from "./latent-tie.js";

/** What the coupons leave open about the hidden quantities at one point after another; worked out when asked for. */
export interface LatentDoubt {
  /** Takes the point at which the basis was just evaluated, with what the anchors leave open of a departure there. */
  readonly moveTo: (open: number) => void;
  /** Variance of latent `l`. */
  readonly variance: (l: number) => number;
  /** Covariance of the two latents of tie `t`. */
  readonly tied: (t: number) => number;
}

/** Two tied latents are never taken for better known together than this correlation lets them be. */
const MOST_CORRELATION = 0.98;

/**
 * Makes the doubt about the hidden quantities ready for many points.
 *
 * @param functions - the basis functions at the present point, shared with whoever evaluates them
 */
export function makeLatentDoubt(
  posteriors: readonly LatentPosterior[],
  ties: readonly LatentTie[],
  functions: Float64Array,
): LatentDoubt {
  const size = functions.length;
  const roots = posteriors.map((posterior) => columns(posterior.root, size));
  const forms = ties.map((tie) => ({ ...tie, covariance: symmetricLower(tie.covariance, size) }));
  // NaN until asked for at the present point.
  const variances = new Float64Array(posteriors.length);
  const covariances = new Float64Array(ties.length);
  let open = 0;
  const variance = (l: number): number => {
    if (!Number.isNaN(variances[l]!)) return variances[l]!;
    const root = roots[l]!;
    let total = posteriors[l]!.departure ** 2 * open;
    for (let b = 0; b < size; b++) {
      const part = dot(root, b * size + b, functions, b, size - b);
      total += part * part;
    }
    variances[l] = total;
    return total;
  };
  return {
    moveTo(left) {
      open = left;
      // Short loops: filling by a method costs more than the sums.
      for (let t = 0; t < covariances.length; t++) covariances[t] = Number.NaN;
      for (let l = 0; l < variances.length; l++) variances[l] = Number.NaN;
    },
    variance,
    tied(t) {
      if (!Number.isNaN(covariances[t]!)) return covariances[t]!;
      const { first, second, covariance } = forms[t]!;
      let total = 0;
      for (let i = 0; i < size; i++) total += functions[i]! * dot(covariance, i * size, functions, 0, i + 1);
      const most = MOST_CORRELATION * Math.sqrt(variance(first) * variance(second));
      covariances[t] = Math.max(-most, Math.min(most, total));
      return covariances[t]!;
    },
  };
}

/** Lower triangle of a form x' C x: the entries above the diagonal added to those below. */
function symmetricLower(matrix: readonly number[], size: number): Float64Array {
  const result = new Float64Array(size * size);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < a; b++) result[a * size + b] = matrix[a * size + b]! + matrix[b * size + a]!;
    result[a * size + a] = matrix[a * size + a]!;
  }
  return result;
}

/** A row-by-row lower triangle rearranged column by column, so that sums run through memory in order. */
function columns(root: readonly number[], size: number): Float64Array {
  const result = new Float64Array(size * size);
  for (let a = 0; a < size; a++) for (let b = 0; b <= a; b++) result[b * size + a] = root[a * size + b]!;
  return result;
}
