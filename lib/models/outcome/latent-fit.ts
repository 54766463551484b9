import {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
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
}

/** Coupons of an older study, which may lie a fitted shift away and count for less. */
export interface OlderData extends LatentData {
  /** Their scatter is taken this many times larger. */
  readonly inflation: number;
}

/** What one hidden quantity is fitted to. */
export interface LatentEvidence {
  readonly prior: LatentPrior;
  readonly data: LatentData;
  /** Number of basis functions. */
  readonly size: number;
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
  /** How far the older study lies off, where there is one. */
  readonly shift?: { readonly estimate: number; readonly sd: number };
}

/** Draws of (scatter, departure, block) over which the marginal likelihood is averaged. */
const HYPER_DRAWS = 96;
interface Hyper {
  readonly scatter: number;
  readonly departure: number;
  readonly block: number;
}

/** Sums over the coupons that every candidate of scatter and departure shares. */
interface Sums {
  /** Basis functions, then one column per block, the older study's too, then its shift. */
  readonly size: number;
  readonly basis: number;
  readonly shifted: boolean;
  readonly gram: Float64Array;
  readonly moment: Float64Array;
  readonly square: number;
  readonly count: number;
}

const blockCount = ({ blocks }: LatentData): number => Math.max(-1, ...blocks) + 1;

function sumsOf(data: LatentData, older: OlderData | undefined, mean: Float64Array): Sums {
  const basis = mean.length;
  const own = blockCount(data);
  const others = older === undefined ? 0 : blockCount(older);
  const size = basis + own + others + (older === undefined ? 0 : 1);
  const gram = new Float64Array(size * size);
  const moment = new Float64Array(size);
  const row = new Float64Array(size);
  let square = 0;
  const add = ({
    functions,
    value,
    columns,
    scale,
  }: {
    readonly functions: Float64Array;
    readonly value: number;
    readonly columns: readonly number[];
    readonly scale: number;
  }): void => {
    row.fill(0);
    row.set(functions);
    let residual = value;
    for (let j = 0; j < basis; j++) residual -= functions[j]! * mean[j]!;
    for (const column of columns) row[column] = 1;
    if (scale !== 1) for (let a = 0; a < size; a++) row[a]! *= scale;
    residual *= scale;
    square += residual * residual;
    for (let a = 0; a < size; a++) {
      if (row[a] === 0) continue;
      moment[a]! += row[a]! * residual;
      for (let b = 0; b <= a; b++) gram[a * size + b]! += row[a]! * row[b]!;
    }
  };
  data.rows.forEach((functions, i) => {
    add({ functions, value: data.values[i]!, columns: [basis + data.blocks[i]!], scale: 1 });
  });
  older?.rows.forEach((functions, i) => {
    add({
      functions,
      value: older.values[i]!,
      columns: [basis + own + older.blocks[i]!, size - 1],
      scale: 1 / older.inflation,
    });
  });
  const count = data.rows.length + (older?.rows.length ?? 0);
  return { size, basis, shifted: older !== undefined, gram, moment, square, count };
}

/** Prior standard deviation of each weight. */
function priorSds(prior: LatentPrior, { basis, size, shifted }: Sums, hyper: Hyper): Float64Array {
  const sds = new Float64Array(size);
  const axes = prior.slopeSds.length;
  sds[0] = prior.constantSd;
  for (let j = 0; j < axes; j++) sds[1 + j] = prior.slopeSds[j]!;
  sds.fill(hyper.departure, 1 + axes, basis);
  sds.fill(hyper.block, basis);
  if (shifted) sds[size - 1] = prior.shiftSd;
  return sds;
}

/** Working memory of {@link evidence}: a matrix and a vector of the size of the sums. */
interface Workspace {
  readonly factor: Float64Array;
  readonly work: Float64Array;
}

const workspaceOf = ({ size }: Sums): Workspace => ({
  factor: new Float64Array(size * size),
  work: new Float64Array(size),
});

/** Factor of I + V^(1/2) G'G V^(1/2) / scatter^2 into the workspace; returns the log marginal likelihood. */
function evidence(
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

/**
 * Fits a hidden quantity: normal priors on constant, slopes and departures, a random shift per block, and
 * scatter, departure size and block size averaged over their log-normal priors by marginal likelihood.
 *
 * @param older - coupons of an older study, laid a fitted shift away
 */
export function fitLatent({ prior, data, size }: LatentEvidence, older?: OlderData): LatentPosterior {
  const sums = sumsOf(data, older, priorMean(prior, size));
  const room = workspaceOf(sums);
  const hyper = averageHyper(prior, sums, room);
  const sds = priorSds(prior, sums, hyper);
  evidence(sums, { sds, scatter: hyper.scatter }, room);
  const inverse = new Float64Array(sums.size * sums.size);
  choleskyInverse(room.factor, sums.size, inverse);
  const precision = 1 / (hyper.scatter * hyper.scatter);
  const all = new Float64Array(sums.size);
  all.set(priorMean(prior, size));
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
    ...(sums.shifted
      ? {
          shift: {
            estimate: all[sums.size - 1]!,
            sd: sds[sums.size - 1]! * Math.sqrt(inverse[sums.size * sums.size - 1]!),
          },
        }
      : {}),
  };
}

function priorMean(prior: LatentPrior, size: number): Float64Array {
  const mean = new Float64Array(size);
  mean[0] = prior.mean.constant;
  mean.set(prior.mean.slopes, 1);
  return mean;
}

/**
 * How well an older study foretells the new coupons when its scatter is taken `inflation` times larger:
 * log density of the new given the old, at the scatter expected.
 */
export function transferEvidence({ prior, data, size }: LatentEvidence, older: OlderData): number {
  const { scatter, departure, block } = prior;
  const hyper = { scatter: scatter.median, departure: departure.median, block: block.median };
  const level = (own: LatentData): number => {
    const sums = sumsOf(own, older, priorMean(prior, size));
    return evidence(sums, { sds: priorSds(prior, sums, hyper), scatter: hyper.scatter }, workspaceOf(sums));
  };
  return level(data) - level({ rows: [], values: [], blocks: [] });
}

function averageHyper(prior: LatentPrior, sums: Sums, room: Workspace): Hyper {
  const draws = sobolPoints(HYPER_DRAWS, 3, 11).map(([a, b, c]): Hyper => {
    const draw = (u: number, { median, logSd }: LogNormal): number =>
      median * Math.exp(logSd * normalQuantile(u));
    return {
      scatter: draw(a!, prior.scatter),
      departure: draw(b!, prior.departure),
      block: draw(c!, prior.block),
    };
  });
  const logs = draws.map((draw) =>
    sums.count === 0 ? 0 : evidence(sums, { sds: priorSds(prior, sums, draw), scatter: draw.scatter }, room),
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
