import { type BlockSums, blockProjection, type RatioState, scaledSums } from "./reml-likelihood.js";

/** Small-sample corrections for the fixed effects of a fit with one random block. */
export interface SmallSample {
  /** Covariance of gamma, enlarged for the estimated variance ratio; rank x rank. */
  readonly covariance: Float64Array;
  /** Degrees of freedom of a combination direction . gamma. */
  readonly df: (direction: Float64Array) => number;
  /** Covariance of the estimated variances, error before block, from their expected information. */
  readonly ofVariances: readonly [readonly [number, number], readonly [number, number]];
  /** Slope of the covariance of gamma by the block variance, rank x rank. */
  readonly slopeByBlock: Float64Array;
}

/**
 * Kenward and Roger's covariance and degrees of freedom from the expected information of the error and
 * block variances. For a single combination their degrees of freedom are Satterthwaite's,
 * 2 v^2 / var(v), and their scale factor is 1.
 *
 * @param state - of sums that hold some difference between blocks
 * @source M. G. Kenward and J. H. Roger, Biometrics 53 (1997) 983-997
 */
export function kenwardRoger(sums: BlockSums, state: RatioState): SmallSample {
  const { rank, rows, blocks, counts } = sums;
  const { lambda, errorVariance: s2, inverse } = state;
  const projection = blockProjection(sums, lambda, inverse);
  let t1 = 0;
  let t2 = 0;
  projection.forEach((row, a) => {
    t1 += row[a]!;
    for (const value of row) t2 += value * value;
  });
  // Information x 2 s^4, in the order error, block; from PVP = P and I = V - lambda ZZ'.
  const ee = rows - rank - 2 * lambda * t1 + lambda * lambda * t2;
  const eb = t1 - lambda * t2;
  const determinant = ee * t2 - eb * eb;
  const scale = (2 * s2 * s2) / determinant;
  const w = { ee: scale * t2, eb: -scale * eb, bb: scale * ee };

  // With Sigma = s^2 V: B = X'S^-1 ZZ'S^-1 X, and the three products with two variance matrices between.
  const scaled = scaledSums(sums, lambda);
  const outer = (factor: (b: number) => number): Float64Array => {
    const out = new Float64Array(rank * rank);
    for (let b = 0; b < blocks; b++) {
      const f = factor(b);
      for (let i = 0; i < rank; i++) {
        for (let j = 0; j < rank; j++) {
          out[i * rank + j]! += f * scaled[b * rank + i]! * scaled[b * rank + j]!;
        }
      }
    }
    return out;
  };
  const combine = (...terms: readonly (readonly [number, Float64Array])[]): Float64Array =>
    terms[0]![1].map((_, k) => terms.reduce((sum, [factor, matrix]) => sum + factor * matrix[k]!, 0));
  const times = (a: Float64Array, b: Float64Array): Float64Array => {
    const out = new Float64Array(rank * rank);
    for (let i = 0; i < rank; i++) {
      for (let k = 0; k < rank; k++) {
        for (let j = 0; j < rank; j++) out[i * rank + j]! += a[i * rank + k]! * b[k * rank + j]!;
      }
    }
    return out;
  };
  const phi = inverse.map((value) => s2 * value);
  const blockVariance = lambda * s2;
  const b1 = outer(() => 1 / s2 ** 2);
  const qbb = outer((b) => counts[b]! / (1 + counts[b]! * lambda) / s2 ** 3);
  const qbe = outer((b) => 1 / (1 + counts[b]! * lambda) / s2 ** 3);
  // phi X'S^-2 X and phi X'S^-3 X follow from I = (Sigma - blockVariance ZZ') / s^2.
  const identity = new Float64Array(rank * rank);
  for (let k = 0; k < rank; k++) identity[k * rank + k] = 1;
  const phiB = times(phi, b1);
  const phiE = combine([1 / s2, identity], [-blockVariance / s2, phiB]);
  const phiQbe = times(phi, qbe);
  const phiQee = combine([1 / s2, phiE], [-blockVariance / s2, phiQbe]);
  const inner = combine(
    [w.ee, phiQee],
    [2 * w.eb, phiQbe],
    [w.bb, times(phi, qbb)],
    [-w.ee, times(phiE, phiE)],
    [-w.eb, times(phiB, phiE)],
    [-w.eb, times(phiE, phiB)],
    [-w.bb, times(phiB, phiB)],
  );
  const covariance = combine([1, phi], [2, times(inner, phi)]);

  const df = (direction: Float64Array): number => {
    const h = new Float64Array(rank);
    let v = 0;
    for (let i = 0; i < rank; i++) {
      for (let j = 0; j < rank; j++) h[i]! += inverse[i * rank + j]! * direction[j]!;
      v += s2 * h[i]! * direction[i]!;
    }
    let gb = 0;
    for (let b = 0; b < blocks; b++) {
      let sum = 0;
      for (let k = 0; k < rank; k++) sum += scaled[b * rank + k]! * h[k]!;
      gb += sum * sum;
    }
    const ge = (v - blockVariance * gb) / s2;
    return (2 * v * v) / (w.ee * ge * ge + 2 * w.eb * ge * gb + w.bb * gb * gb);
  };
  return {
    covariance,
    df,
    ofVariances: [
      [w.ee, w.eb],
      [w.eb, w.bb],
    ],
    slopeByBlock: times(phiB, phi),
  };
}
