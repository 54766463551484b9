import {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
  normalQuantile,
  sobolPoints,
  solveLower,
} from "../../numeric/index.js";
import type { LatentPrior } from "./latent.js";

/** What the coupons say about one hidden quantity. */
export interface LatentData {
  /** Basis functions, one row per coupon. */
  readonly rows: readonly Float64Array[];
  readonly values: readonly number[];
  /** Block (day) of each coupon, 0, 1, 2 ... */
  readonly blocks: readonly number[];
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
  readonly coupons: number;
  /** What each coupon leaves unexplained, block taken out, scaled up for the freedom the fit took. */
  readonly residuals: readonly number[];
  /** How far each weight moves per unit of each coupon's value, one row per coupon. */
  readonly gains: readonly (readonly number[])[];
}

/** Draws of (scatter, departure, block) over which the marginal likelihood is averaged. */
const HYPER_DRAWS = 96;
/** Log standard deviations of their log-normal priors. */
const SPREAD = { scatter: 0.35, departure: 0.6, block: 0.6 } as const;
/** Block-to-block standard deviation expected, as a share of the scatter. */
const BLOCK_SHARE = 0.2;

interface Hyper {
  readonly scatter: number;
  readonly departure: number;
  readonly block: number;
}

/** Sums over the coupons that every candidate of scatter and departure shares. */
interface Sums {
  readonly size: number;
  readonly gram: Float64Array;
  readonly moment: Float64Array;
  readonly square: number;
  readonly count: number;
}

function sumsOf(data: LatentData, mean: Float64Array, blocks: number): Sums {
  const basis = mean.length;
  const size = basis + blocks;
  const gram = new Float64Array(size * size);
  const moment = new Float64Array(size);
  const row = new Float64Array(size);
  let square = 0;
  data.rows.forEach((functions, i) => {
    row.fill(0);
    row.set(functions);
    let residual = data.values[i]!;
    for (let j = 0; j < basis; j++) residual -= functions[j]! * mean[j]!;
    row[basis + data.blocks[i]!] = 1;
    square += residual * residual;
    for (let a = 0; a < size; a++) {
      if (row[a] === 0) continue;
      moment[a]! += row[a]! * residual;
      for (let b = 0; b <= a; b++) gram[a * size + b]! += row[a]! * row[b]!;
    }
  });
  return { size, gram, moment, square, count: data.rows.length };
}

/** Prior standard deviation of each weight. */
function priorSds(prior: LatentPrior, basis: number, size: number, hyper: Hyper): Float64Array {
  const sds = new Float64Array(size);
  const axes = prior.slopeSds.length;
  sds[0] = prior.constantSd;
  for (let j = 0; j < axes; j++) sds[1 + j] = prior.slopeSds[j]!;
  sds.fill(hyper.departure, 1 + axes, basis);
  sds.fill(hyper.block, basis);
  return sds;
}

/** Factor of I + V^(1/2) G'G V^(1/2) / scatter^2 into `factor`; returns the log marginal likelihood. */
function evidence(
  sums: Sums,
  sds: Float64Array,
  scatter: number,
  factor: Float64Array,
  work: Float64Array,
): number {
  const { size, gram, moment } = sums;
  const precision = 1 / (scatter * scatter);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b <= a; b++) factor[a * size + b] = gram[a * size + b]! * sds[a]! * sds[b]! * precision;
    factor[a * size + a]! += 1;
    work[a] = moment[a]! * sds[a]! * precision;
  }
  if (!choleskyInPlace(factor, size)) return Number.NEGATIVE_INFINITY;
  solveLower(factor, size, work);
  let explained = 0;
  for (let a = 0; a < size; a++) explained += work[a]! * work[a]!;
  return (
    -0.5 * (sums.square * precision - explained + choleskyLogDeterminant(factor, size)) -
    sums.count * Math.log(scatter)
  );
}

/**
 * Fits a hidden quantity: normal priors on constant, slopes and departures, a random shift per block, and
 * scatter, departure size and block size averaged over their log-normal priors by marginal likelihood.
 *
 * @param size - number of basis functions
 */
export function fitLatent(prior: LatentPrior, data: LatentData, size: number): LatentPosterior {
  const blocks = data.blocks.length === 0 ? 0 : Math.max(...data.blocks) + 1;
  const mean = new Float64Array(size);
  mean[0] = prior.mean.constant;
  mean.set(prior.mean.slopes, 1);
  const sums = sumsOf(data, mean, blocks);
  const factor = new Float64Array(sums.size * sums.size);
  const work = new Float64Array(sums.size);
  const hyper = averageHyper(prior, sums, size, factor, work);
  const sds = priorSds(prior, size, sums.size, hyper);
  evidence(sums, sds, hyper.scatter, factor, work);
  const inverse = new Float64Array(sums.size * sums.size);
  choleskyInverse(factor, sums.size, inverse);
  const precision = 1 / (hyper.scatter * hyper.scatter);
  const all = new Float64Array(sums.size);
  all.set(mean);
  for (let a = 0; a < sums.size; a++) {
    let shift = 0;
    for (let b = 0; b < sums.size; b++) shift += inverse[a * sums.size + b]! * sums.moment[b]! * sds[b]!;
    all[a]! += shift * sds[a]! * precision;
  }
  // Change of each weight per unit of each coupon's value.
  const gains = data.rows.map((functions, i) =>
    Float64Array.from({ length: sums.size }, (_, a) => {
      const row = a * sums.size;
      let sum = inverse[row + size + data.blocks[i]!]! * sds[size + data.blocks[i]!]!;
      for (let b = 0; b < size; b++) sum += inverse[row + b]! * sds[b]! * functions[b]!;
      return sum * sds[a]! * precision;
    }),
  );
  const covariance = new Float64Array(size * size);
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) covariance[a * size + b] = inverse[a * sums.size + b]! * sds[a]! * sds[b]!;
  }
  for (let a = 0; a < size; a++) covariance[a * size + a]! += 1e-12;
  choleskyInPlace(covariance, size);
  for (let a = 0; a < size; a++) covariance.fill(0, a * size + a + 1, (a + 1) * size);
  return {
    name: prior.name,
    weights: Array.from(all.subarray(0, size)),
    root: Array.from(covariance),
    scatter: hyper.scatter,
    departure: hyper.departure,
    blockSd: hyper.block,
    coupons: sums.count,
    residuals: gains.map((gain, i) => {
      const row = data.rows[i]!;
      let residual = data.values[i]! - all[size + data.blocks[i]!]!;
      let leverage = gain[size + data.blocks[i]!]!;
      for (let a = 0; a < size; a++) {
        residual -= row[a]! * all[a]!;
        leverage += row[a]! * gain[a]!;
      }
      return residual / Math.sqrt(Math.max(1 - leverage, 0.1));
    }),
    gains: gains.map((gain) => Array.from(gain.subarray(0, size))),
  };
}

function averageHyper(
  prior: LatentPrior,
  sums: Sums,
  size: number,
  factor: Float64Array,
  work: Float64Array,
): Hyper {
  const draws = sobolPoints(HYPER_DRAWS, 3, 11).map(([a, b, c]): Hyper => {
    const draw = (u: number, median: number, spread: number): number =>
      median * Math.exp(spread * normalQuantile(u));
    return {
      scatter: draw(a!, prior.scatter, SPREAD.scatter),
      departure: draw(b!, prior.departure, SPREAD.departure),
      block: draw(c!, BLOCK_SHARE * prior.scatter, SPREAD.block),
    };
  });
  const logs = draws.map((draw) =>
    sums.count === 0 ? 0 : evidence(sums, priorSds(prior, size, sums.size, draw), draw.scatter, factor, work),
  );
  const top = Math.max(...logs);
  let total = 0;
  let scatter = 0;
  let departure = 0;
  let block = 0;
  draws.forEach((draw, i) => {
    const weight = Math.exp(logs[i]! - top);
    total += weight;
    scatter += weight * draw.scatter ** 2;
    departure += weight * Math.log(draw.departure);
    block += weight * draw.block ** 2;
  });
  return {
    scatter: Math.sqrt(scatter / total),
    departure: Math.exp(departure / total),
    block: Math.sqrt(block / total),
  };
}
