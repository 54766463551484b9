import {
  choleskyInPlace,
  choleskyLogDeterminant,
  normalCdf,
  normalQuantile,
  sobolPoints,
  solveLower,
} from "../../numeric/index.js";
import type { LatentPrior, LogNormal } from "./latent-prior.js";

/** What the coupons say about one hidden quantity. */
export interface LatentData {
  /** Basis functions, one row per coupon. */
  readonly rows: readonly Float64Array[];
  readonly values: readonly number[];
  /** Block (day) of each coupon, 0, 1, 2 ... */
  readonly blocks: readonly number[];
  /** Place of each coupon in its block, from -0.5 for the first to 0.5 for the last of a full one. */
  readonly places: readonly number[];
  /** How much each coupon counts: 1, or less where it may not be what its record says. */
  readonly trust: readonly number[];
}

/** Coupons of an older study, which may lie a fitted shift away and count for less. */
export interface OlderData extends LatentData {
  /** Their scatter is taken this many times larger. */
  readonly inflation: number;
}

/** Draws of (scatter, departure, block) over which the marginal likelihood is averaged. */
const HYPER_DRAWS = 96;
/** Sizes of what moves a hidden quantity, as standard deviations. */
export interface Hyper {
  readonly scatter: number;
  readonly departure: number;
  readonly block: number;
  /** Of the change from the first to the last coupon of a block, all blocks alike. */
  readonly trend: number;
}

/** Sums over the coupons that every candidate of scatter and departure shares. */
export interface Sums {
  /** Basis functions, the trend within blocks, then one column per block, the older study's too, then its shift. */
  readonly size: number;
  readonly basis: number;
  readonly shifted: boolean;
  readonly gram: Float64Array;
  readonly moment: Float64Array;
  readonly square: number;
  /** Coupons, each as far as it counts. */
  readonly count: number;
}

const blockCount = ({ blocks }: LatentData): number => Math.max(-1, ...blocks) + 1;

/** Column of a coupon's block; the trend's stands before all of them. */
export const blockColumn = ({ basis }: Pick<Sums, "basis">, block: number): number => basis + 1 + block;

/** Sums over the coupons. */
export function sumsOf(data: LatentData, older: OlderData | undefined, mean: Float64Array): Sums {
  const basis = mean.length;
  const own = blockCount(data);
  const others = older === undefined ? 0 : blockCount(older);
  const size = blockColumn({ basis }, own + others) + (older === undefined ? 0 : 1);
  const gram = new Float64Array(size * size);
  const moment = new Float64Array(size);
  const row = new Float64Array(size);
  let square = 0;
  let count = 0;
  const inflation = older?.inflation ?? 1;
  const add = (from: LatentData, i: number, columns: readonly number[]): void => {
    const trust = from.trust[i]!;
    if (trust <= 0) return;
    const functions = from.rows[i]!;
    row.fill(0);
    row.set(functions);
    row[basis] = from.places[i]!;
    let residual = from.values[i]!;
    for (let j = 0; j < basis; j++) residual -= functions[j]! * mean[j]!;
    for (const column of columns) row[column] = 1;
    const scale = Math.sqrt(trust) / (from === older ? inflation : 1);
    if (scale !== 1) for (let a = 0; a < size; a++) row[a]! *= scale;
    residual *= scale;
    square += residual * residual;
    count += trust;
    for (let a = 0; a < size; a++) {
      if (row[a] === 0) continue;
      moment[a]! += row[a]! * residual;
      for (let b = 0; b <= a; b++) gram[a * size + b]! += row[a]! * row[b]!;
    }
  };
  data.blocks.forEach((block, i) => {
    add(data, i, [blockColumn({ basis }, block)]);
  });
  older?.blocks.forEach((block, i) => {
    add(older, i, [blockColumn({ basis }, own + block), size - 1]);
  });
  return { size, basis, shifted: older !== undefined, gram, moment, square, count };
}

/** Prior standard deviation of each weight. */
export function priorSds(prior: LatentPrior, { basis, size, shifted }: Sums, hyper: Hyper): Float64Array {
  const sds = new Float64Array(size);
  const axes = prior.slopeSds.length;
  sds[0] = prior.constantSd;
  for (let j = 0; j < axes; j++) sds[1 + j] = prior.slopeSds[j]!;
  sds.fill(hyper.departure, 1 + axes, basis);
  sds[basis] = hyper.trend;
  sds.fill(hyper.block, basis + 1);
  if (shifted) sds[size - 1] = prior.shiftSd;
  return sds;
}

/** Working memory of {@link evidence}: a matrix and a vector of the size of the sums. */
export interface Workspace {
  readonly factor: Float64Array;
  readonly work: Float64Array;
}

export const workspaceOf = ({ size }: Sums): Workspace => ({
  factor: new Float64Array(size * size),
  work: new Float64Array(size),
});

/** Factor of I + V^(1/2) G'G V^(1/2) / scatter^2 into the workspace; returns the log marginal likelihood. */
export function evidence(
  sums: Sums,
  { sds, scatter }: { readonly sds: Float64Array; readonly scatter: number },
  { factor, work }: Workspace,
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

export function priorMean(prior: LatentPrior, size: number): Float64Array {
  const mean = new Float64Array(size);
  mean[0] = prior.mean.constant;
  mean.set(prior.mean.slopes, 1);
  return mean;
}

/** Sizes averaged over their log-normal priors, and what the coupons say of the blocks' in standard scores of its prior. */
export interface AveragedHyper extends Hyper {
  readonly blockScore: { readonly mean: number; readonly variance: number };
}

/** Sizes averaged over their log-normal priors by marginal likelihood. */
export function averageHyper(prior: LatentPrior, sums: Sums, room: Workspace): AveragedHyper {
  const draws = sobolPoints(HYPER_DRAWS, 4, 11).map(([a, b, c, d]): Hyper => {
    const draw = (u: number, { median, logSd }: LogNormal): number =>
      median * Math.exp(logSd * normalQuantile(u));
    return {
      scatter: draw(a!, prior.scatter),
      departure: draw(b!, prior.departure),
      block: draw(c!, prior.block),
      trend: draw(d!, prior.trend),
    };
  });
  const logs = draws.map((draw) =>
    sums.count === 0 ? 0 : evidence(sums, { sds: priorSds(prior, sums, draw), scatter: draw.scatter }, room),
  );
  const top = Math.max(...logs);
  const weights = logs.map((log) => Math.exp(log - top));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (of: (draw: Hyper) => number): number =>
    draws.reduce((sum, draw, i) => sum + weights[i]! * of(draw), 0) / total;
  const scatter = Math.sqrt(mean((draw) => draw.scatter ** 2));
  const { median, logSd } = prior.block;
  const scoreOf = ({ block }: Hyper): number => (logSd > 0 ? Math.log(block / median) / logSd : 0);
  const score = mean(scoreOf);
  return {
    scatter,
    departure: Math.exp(mean((draw) => Math.log(draw.departure))),
    block: evenBlock(scatter, mean),
    trend: Math.sqrt(mean((draw) => draw.trend ** 2)),
    blockScore: { mean: score, variance: mean((draw) => (scoreOf(draw) - score) ** 2) },
  };
}

/** Range by which a block's size is judged, in scatters to either side: specifications are about as wide. */
const JUDGED = 2;

/**
 * The size of block shifts that keeps as much within {@link JUDGED} scatters as the sizes still possible do on average.
 * Few blocks leave large sizes open; their mean square would answer for the few largest alone.
 */
function evenBlock(scatter: number, mean: (of: (draw: Hyper) => number) => number): number {
  const inside = (block: number): number =>
    2 * normalCdf((JUDGED * scatter) / Math.hypot(scatter, block)) - 1;
  const wanted = mean(({ block }) => inside(block));
  let [low, high] = [0, 1e3 * scatter];
  for (let i = 0; i < 60; i++) {
    const middle = 0.5 * (low + high);
    if (inside(middle) > wanted) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
}
