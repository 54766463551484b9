import { makeLatentKernel, type OutcomeModel } from "../models/index.js";
import type { BestSearch } from "./best-setting.js";
import { makeBoxProbability } from "./box-probability.js";
import { specificationFaces } from "./chance.js";

/** What readings are believed to show at some settings, and how one reading bears on another setting. */
export interface SizeBeliefs {
  /** Responses; means and variances of a coupon of a future day at each setting, on the links' scales. */
  readonly means: readonly Float64Array[];
  readonly variances: readonly Float64Array[];
  /** Chance of all dimensions within specification over the product of their own chances: what their dependence does. */
  readonly dependence: Float64Array;
  /** Specification of each response. */
  readonly lower: readonly number[];
  readonly upper: readonly number[];
  /** Coefficients of the hidden quantities in each response. */
  readonly coefficients: readonly (readonly number[])[];
  /** Per hidden quantity: variance of one coupon about its setting, and of what all coupons of a day share. */
  readonly scatter: readonly number[];
  readonly day: readonly number[];
  /** Covariance of hidden quantity `l` at settings `i` and `j`. */
  readonly covariance: (l: number, i: number, j: number) => number;
}

/** Makes what is believed of the dimensions at points of the model's axes. */
export function sizeBeliefs(
  model: OutcomeModel,
  { chances }: BestSearch,
  points: readonly Float64Array[],
): SizeBeliefs {
  const n = model.latent.links.length;
  const { lower, upper } = specificationFaces(model);
  const box = makeBoxProbability(lower, upper);
  const kernel = makeLatentKernel(model);
  const places = points.map((point) => kernel.at(point));
  const apart = new Float64Array(n * n);
  const dependence = new Float64Array(points.length);
  const means: Float64Array[] = [];
  const variances: Float64Array[] = [];
  points.forEach((point, i) => {
    const { mean, covariance, dimensions } = chances.parts(point);
    const variance = Float64Array.from({ length: n }, (_, r) => covariance[r * n + r]!);
    for (let r = 0; r < n; r++) apart[r * n + r] = variance[r]!;
    const independent = box(mean, apart);
    dependence[i] = independent > 0 ? dimensions / independent : 1;
    means.push(mean);
    variances.push(variance);
  });
  return {
    means,
    variances,
    dependence,
    lower,
    upper,
    coefficients: model.latent.links.map((link) => link.coefficients),
    scatter: model.posteriors.map(({ scatter }) => scatter ** 2),
    day: model.posteriors.map(({ blockSd }) => blockSd ** 2),
    covariance: (l, i, j) => kernel.covariance(l, places[i]!, places[j]!),
  };
}
