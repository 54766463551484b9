import {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
  choleskySolve,
} from "../../numeric/index.js";
import type { DesignBasis } from "../common/index.js";

/**
 * Sums per block that the restricted likelihood of y = X beta + block + error needs, in the orthonormal
 * coordinates X beta = Q gamma: with them each trial of the variance ratio costs blocks x rank^2, whatever
 * the number of rows.
 */
export interface BlockSums {
  readonly rows: number;
  readonly rank: number;
  readonly blocks: number;
  /** ln |R'R|, see {@link DesignBasis}. */
  readonly logGram: number;
  readonly counts: Float64Array;
  /** Sum of the rows of Q per block, blocks x rank. */
  readonly designSums: Float64Array;
  /** Sum of the ordinary least-squares residuals per block. */
  readonly residualSums: Float64Array;
  /** Q'y: gamma of ordinary least squares. */
  readonly gamma: Float64Array;
  readonly rss: number;
}

/** The restricted likelihood at one ratio lambda = block variance / error variance. */
export interface RatioState {
  readonly lambda: number;
  readonly logLikelihood: number;
  /** d logLikelihood / d lambda. */
  readonly slope: number;
  /** Trace of Z'PZ: what the terms leave of the blocks. */
  readonly trace: number;
  readonly errorVariance: number;
  /** Log-likelihood with the error variance at its best for this ratio, terms not taken out (no restriction). */
  readonly fullLogLikelihood: number;
  readonly gamma: Float64Array;
  /** (Q'V^-1 Q)^-1 with V = I + lambda ZZ'. */
  readonly inverse: Float64Array;
  /** Z'V^-1 (y - X beta) per block. */
  readonly pulls: Float64Array;
}

/** Gathers the block sums. */
export function sumByBlock({
  basis,
  y,
  block,
  blocks,
}: {
  readonly basis: DesignBasis;
  readonly y: readonly number[];
  readonly block: Int32Array;
  readonly blocks: number;
}): BlockSums {
  const { rows, rank, q, logGram } = basis;
  const gamma = new Float64Array(rank);
  for (let i = 0; i < rows; i++) for (let k = 0; k < rank; k++) gamma[k]! += q[i * rank + k]! * y[i]!;
  const counts = new Float64Array(blocks);
  const designSums = new Float64Array(blocks * rank);
  const residualSums = new Float64Array(blocks);
  let rss = 0;
  let largest = 0;
  for (let i = 0; i < rows; i++) {
    const b = block[i]!;
    largest = Math.max(largest, Math.abs(y[i]!));
    let residual = y[i]!;
    for (let k = 0; k < rank; k++) {
      residual -= q[i * rank + k]! * gamma[k]!;
      designSums[b * rank + k]! += q[i * rank + k]!;
    }
    counts[b]! += 1;
    residualSums[b]! += residual;
    rss += residual * residual;
  }
  // Rows met exactly leave the rounding of y as their scatter: the likelihood stays finite.
  const rounding = rows * ((largest === 0 ? 1 : largest) * Number.EPSILON) ** 2;
  return { rows, rank, blocks, logGram, counts, designSums, residualSums, gamma, rss: rss + rounding };
}

/**
 * ln L_R = -[(N - r)(ln(2 pi s^2) + 1) + ln |V| + ln |X'V^-1 X|] / 2 at the best error variance s^2,
 * V^-1 = I - sum w_b 1_b 1_b', w_b = lambda / (1 + n_b lambda).
 */
export function atRatio(sums: BlockSums, lambda: number): RatioState {
  const { rows, rank, blocks, counts, designSums: s, residualSums: t } = sums;
  const m = new Float64Array(rank * rank);
  const delta = new Float64Array(rank);
  let rss = sums.rss;
  let logV = 0;
  for (let k = 0; k < rank; k++) m[k * rank + k] = 1;
  for (let b = 0; b < blocks; b++) {
    const w = lambda / (1 + counts[b]! * lambda);
    logV += Math.log1p(counts[b]! * lambda);
    rss -= w * t[b]! * t[b]!;
    for (let i = 0; i < rank; i++) {
      delta[i]! -= w * s[b * rank + i]! * t[b]!;
      for (let j = 0; j <= i; j++) m[i * rank + j]! -= w * s[b * rank + i]! * s[b * rank + j]!;
    }
  }
  choleskyInPlace(m, rank);
  const inverse = new Float64Array(rank * rank);
  choleskyInverse(m, rank, inverse);
  const score = delta.slice();
  choleskySolve(m, rank, delta);
  for (let k = 0; k < rank; k++) rss -= score[k]! * delta[k]!;
  const errorVariance = Math.max(rss, sums.rss * Number.EPSILON) / (rows - rank);
  const pulls = new Float64Array(blocks);
  let squares = 0;
  let trace = 0;
  for (let b = 0; b < blocks; b++) {
    let sum = t[b]!;
    for (let k = 0; k < rank; k++) sum -= s[b * rank + k]! * delta[k]!;
    const shrink = 1 + counts[b]! * lambda;
    pulls[b] = sum / shrink;
    squares += pulls[b]! * pulls[b]!;
    trace += counts[b]! / shrink;
    for (let i = 0; i < rank; i++) {
      let half = 0;
      for (let j = 0; j < rank; j++) half += inverse[i * rank + j]! * s[b * rank + j]!;
      trace -= (s[b * rank + i]! * half) / (shrink * shrink);
    }
  }
  const logLikelihood =
    -0.5 *
    ((rows - rank) * (Math.log(2 * Math.PI * errorVariance) + 1) +
      logV +
      choleskyLogDeterminant(m, rank) +
      sums.logGram);
  const fullVariance = ((rows - rank) * errorVariance) / rows;
  return {
    lambda,
    logLikelihood,
    fullLogLikelihood: -0.5 * (rows * (Math.log(2 * Math.PI * fullVariance) + 1) + logV),
    slope: -0.5 * (trace - squares / errorVariance),
    trace,
    errorVariance,
    gamma: delta.map((value, k) => value + sums.gamma[k]!),
    inverse,
    pulls,
  };
}

/** Z'PZ, blocks x blocks, P the projection that takes out the fixed terms in the metric of V. */
export function blockProjection(sums: BlockSums, lambda: number, inverse: Float64Array): Float64Array[] {
  const { blocks, rank, counts, designSums } = sums;
  const scaled = scaledSums(sums, lambda);
  return Array.from({ length: blocks }, (_, a) => {
    const half = new Float64Array(rank);
    for (let i = 0; i < rank; i++) {
      for (let j = 0; j < rank; j++) half[i]! += inverse[i * rank + j]! * scaled[a * rank + j]!;
    }
    return Float64Array.from({ length: blocks }, (_, b) => {
      const shrink = 1 + counts[b]! * lambda;
      let value = a === b ? counts[b]! / shrink : 0;
      for (let k = 0; k < rank; k++) value -= (half[k]! * designSums[b * rank + k]!) / shrink;
      return value;
    });
  });
}

/** Z'V^-1 Q: the design sums over 1 + n lambda. */
export function scaledSums({ blocks, rank, counts, designSums }: BlockSums, lambda: number): Float64Array {
  const scaled = new Float64Array(blocks * rank);
  for (let b = 0; b < blocks; b++) {
    for (let k = 0; k < rank; k++) {
      scaled[b * rank + k] = designSums[b * rank + k]! / (1 + counts[b]! * lambda);
    }
  }
  return scaled;
}
