import { choleskyInPlace, choleskyInverse } from "../../numeric/index.js";
import {
  averageHyper,
  blockColumn,
  evidence,
  type LatentData,
  type OlderData,
  priorMean,
  priorSds,
  sumsOf,
  workspaceOf,
} from "./latent-evidence.js";
import type { LatentPrior } from "./latent-prior.js";

/** What one hidden quantity is fitted to. */
export interface LatentEvidence {
  readonly prior: LatentPrior;
  readonly data: LatentData;
  /** Number of basis functions. */
  readonly size: number;
}

/** A number with its standard deviation. */
export interface Estimate {
  readonly estimate: number;
  readonly sd: number;
}

/** Posterior of one hidden quantity: normal weights of the basis functions, and scatter. */
export interface LatentPosterior {
  readonly name: string;
  readonly weights: readonly number[];
  /** Square root S of the weights' covariance, S S' = covariance, row by row. */
  readonly root: readonly number[];
  /** Coupon-to-coupon scatter, root mean square. */
  readonly scatter: number;
  /** Standard deviation of a departure from the straight law. */
  readonly departure: number;
  /** Standard deviation from block to block. */
  readonly blockSd: number;
  /** Its logarithm in standard scores of its prior. */
  readonly blockScore: { readonly mean: number; readonly variance: number };
  /** Change from the first to the last coupon of a block, all blocks alike. */
  readonly trend: Estimate;
  /** Coupons behind it, each as far as it counts. */
  readonly coupons: number;
  /** What each coupon leaves unexplained, block taken out, scaled up for the freedom the fit took. */
  readonly residuals: readonly number[];
  /** What the others foresee for each coupon in its own block, its own scatter apart. */
  readonly leftOut: readonly { readonly mean: number; readonly variance: number }[];
  /** How far each weight moves per unit of each coupon's value, one row per coupon. */
  readonly gains: readonly (readonly number[])[];
  /** How far the older study lies off, where there is one. */
  readonly shift?: Estimate;
}

/**
 * Fits a hidden quantity: normal priors on constant, slopes and departures, a random shift per block, a change within
 * blocks that all of them share, and scatter and the sizes of departures, shifts and change averaged over their log-normal
 * priors by marginal likelihood.
 *
 * @param older - coupons of an older study, laid a fitted shift away
 */
export function fitLatent({ prior, data, size }: LatentEvidence, older?: OlderData): LatentPosterior {
  const mean = priorMean(prior, size);
  const sums = sumsOf(data, older, mean);
  const room = workspaceOf(sums);
  const hyper = averageHyper(prior, sums, room);
  const sds = priorSds(prior, sums, hyper);
  evidence(sums, { sds, scatter: hyper.scatter }, room);
  const inverse = new Float64Array(sums.size * sums.size);
  choleskyInverse(room.factor, sums.size, inverse);
  const precision = 1 / (hyper.scatter * hyper.scatter);
  const all = new Float64Array(sums.size);
  all.set(mean);
  for (let a = 0; a < sums.size; a++) {
    let shift = 0;
    for (let b = 0; b < sums.size; b++) shift += inverse[a * sums.size + b]! * sums.moment[b]! * sds[b]!;
    all[a]! += shift * sds[a]! * precision;
  }
  const seen = data.rows.map((functions, i) => {
    const row = new Float64Array(sums.size);
    row.set(functions);
    row[size] = data.places[i]!;
    row[blockColumn(sums, data.blocks[i]!)] = 1;
    return seenCoupon({ row, value: data.values[i]!, trust: data.trust[i]!, all, sds, inverse, precision });
  });
  const covariance = new Float64Array(size * size);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) covariance[a * size + b] = inverse[a * sums.size + b]! * sds[a]! * sds[b]!;
  }
  for (let a = 0; a < size; a++) covariance[a * size + a]! += 1e-12;
  choleskyInPlace(covariance, size);
  for (let a = 0; a < size; a++) covariance.fill(0, a * size + a + 1, (a + 1) * size);
  const estimateOf = (column: number): Estimate => ({
    estimate: all[column]!,
    sd: sds[column]! * Math.sqrt(inverse[column * sums.size + column]!),
  });
  return {
    name: prior.name,
    weights: Array.from(all.subarray(0, size)),
    root: Array.from(covariance),
    scatter: hyper.scatter,
    departure: hyper.departure,
    blockSd: hyper.block,
    blockScore: hyper.blockScore,
    trend: estimateOf(size),
    coupons: sums.count,
    residuals: seen.map(({ residual }) => residual),
    leftOut: seen.map(({ leftOut }) => leftOut),
    gains: seen.map(({ gain }) => Array.from(gain.subarray(0, size))),
    ...(sums.shifted ? { shift: estimateOf(sums.size - 1) } : {}),
  };
}

interface Fitted {
  readonly row: Float64Array;
  readonly value: number;
  readonly trust: number;
  readonly all: Float64Array;
  readonly sds: Float64Array;
  readonly inverse: Float64Array;
  readonly precision: number;
}

/** What a fit says of one of its coupons: how far it moves every weight, and what the others foresee for it. */
function seenCoupon({ row, value, trust, all, sds, inverse, precision }: Fitted) {
  const size = row.length;
  const gain = new Float64Array(size);
  const used = Array.from(row.keys()).filter((a) => row[a] !== 0);
  let fitted = 0;
  let variance = 0;
  for (let a = 0; a < size; a++) {
    let sum = 0;
    for (const b of used) sum += inverse[a * size + b]! * sds[b]! * row[b]!;
    gain[a] = sum * sds[a]! * precision * trust;
    fitted += row[a]! * all[a]!;
    variance += row[a]! * sds[a]! * sum;
  }
  const residual = value - fitted;
  const leverage = variance * precision * trust;
  const left = Math.max(1 - leverage, 1e-9);
  return {
    gain,
    residual: residual / Math.sqrt(Math.max(1 - leverage, 0.1)),
    leftOut: { mean: value - residual / left, variance: variance / left },
  };
}

const NO_COUPONS: LatentData = { rows: [], values: [], blocks: [], places: [], trust: [] };

/**
 * How well an older study foretells the new coupons when its scatter is taken `inflation` times larger:
 * log density of the new given the old, at the scatter expected.
 */
export function transferEvidence({ prior, data, size }: LatentEvidence, older: OlderData): number {
  const hyper = {
    scatter: prior.scatter.median,
    departure: prior.departure.median,
    block: prior.block.median,
    trend: prior.trend.median,
  };
  const level = (own: LatentData): number => {
    const sums = sumsOf(own, older, priorMean(prior, size));
    return evidence(sums, { sds: priorSds(prior, sums, hyper), scatter: hyper.scatter }, workspaceOf(sums));
  };
  return level(data) - level(NO_COUPONS);
}
