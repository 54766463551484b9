import { choleskyWithJitter, type RandomStream } from "../../numeric/index.js";
import type { LatentModel } from "./latent.js";
import type { LatentPosterior } from "./latent-fit.js";

/**
 * Covariance of the errors of two latents' weights. A coupon's scatter in width shifts width and fullness
 * in opposite directions; a height made of both is better known than either alone would say.
 */
export interface LatentTie {
  readonly first: number;
  readonly second: number;
  /** Row by row: weights of the first by weights of the second. */
  readonly covariance: readonly number[];
}

/** What ties follow from. */
export interface TieEvidence {
  readonly latent: LatentModel;
  readonly posteriors: readonly LatentPosterior[];
  /** Per latent, the coupons behind its gains. */
  readonly shownBy: readonly (readonly number[])[];
  /** Covariance of the scatter of the responses. */
  readonly scatter: readonly (readonly number[])[];
}

/** Ties between the latents that share a link: the scatter they have in common, carried through both fits. */
export function tieLatents({ latent, posteriors, shownBy, scatter }: TieEvidence): readonly LatentTie[] {
  return latent.links.flatMap((link, r): LatentTie[] => {
    const second = link.own;
    const first = link.coefficients.findIndex((coefficient, l) => l !== second && coefficient !== 0);
    if (first < 0) return [];
    const firstLink = latent.links.findIndex((candidate) => candidate.own === first);
    const shared =
      (scatter[firstLink]![r]! - link.coefficients[first]! * scatter[firstLink]![firstLink]!) /
      link.coefficients[second]!;
    const size = posteriors[first]!.weights.length;
    const covariance = new Array<number>(size * size).fill(0);
    const gains = new Map(shownBy[first]!.map((coupon, k) => [coupon, posteriors[first]!.gains[k]!]));
    shownBy[second]!.forEach((coupon, k) => {
      const a = gains.get(coupon);
      if (a === undefined) return;
      const b = posteriors[second]!.gains[k]!;
      for (let i = 0; i < size; i++) {
        const row = i * size;
        const factor = shared * a[i]!;
        for (let j = 0; j < size; j++) covariance[row + j]! += factor * b[j]!;
      }
    });
    return [{ first, second, covariance }];
  });
}

/** What weights are drawn from. */
export interface WeightDrawParts {
  readonly posteriors: readonly LatentPosterior[];
  readonly ties: readonly LatentTie[];
  /** Number of weights of each latent. */
  readonly size: number;
  readonly draws: number;
  readonly stream: RandomStream;
}

/**
 * Posterior draws of the weights of every latent; tied ones are drawn together.
 *
 * @returns per latent, per draw, the weights
 */
export function drawWeights({
  posteriors,
  ties,
  size,
  draws,
  stream,
}: WeightDrawParts): readonly (readonly (readonly number[])[])[] {
  const result = posteriors.map((posterior) => {
    const own = stream.split(posterior.name);
    return Array.from({ length: draws }, () => normals(size, own)).map((z) =>
      posterior.weights.map((weight, a) => weight + rowProduct(posterior.root, size, a, z)),
    );
  });
  for (const tie of ties) {
    const root = jointRoot(posteriors, tie, size);
    if (root === undefined) continue;
    const own = stream.split(`tie/${tie.second}`);
    const both = [tie.first, tie.second] as const;
    const drawn = Array.from({ length: draws }, () => normals(2 * size, own));
    both.forEach((l, half) => {
      result[l] = drawn.map((z) =>
        posteriors[l]!.weights.map((weight, a) => weight + rowProduct(root, 2 * size, half * size + a, z)),
      );
    });
  }
  return result;
}

const normals = (count: number, stream: RandomStream): Float64Array =>
  Float64Array.from({ length: count }, () => stream.normal());

/** Row `a` of a lower triangle times a vector. */
// biome-ignore lint/complexity/useMaxParams: an inner loop, where an object per call would cost
function rowProduct(root: ArrayLike<number>, size: number, a: number, z: Float64Array): number {
  let sum = 0;
  for (let b = 0; b <= a; b++) sum += root[a * size + b]! * z[b]!;
  return sum;
}

/** Factor of the joint covariance of two latents' weights; undefined when rounding has spoilt it. */
function jointRoot(
  posteriors: readonly LatentPosterior[],
  tie: LatentTie,
  size: number,
): Float64Array | undefined {
  const n = 2 * size;
  const joint = new Float64Array(n * n);
  [tie.first, tie.second].forEach((l, half) => {
    const posterior = posteriors[l]!;
    for (let a = 0; a < size; a++) {
      for (let b = 0; b <= a; b++) {
        let sum = 0;
        for (let k = 0; k <= b; k++) sum += posterior.root[a * size + k]! * posterior.root[b * size + k]!;
        joint[(half * size + a) * n + half * size + b] = sum;
      }
    }
  });
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) joint[(size + j) * n + i] = tie.covariance[i * size + j]!;
  }
  const root = new Float64Array(n * n);
  return Number.isNaN(choleskyWithJitter(joint, root, n)) ? undefined : root;
}
