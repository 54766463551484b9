import { requireThat } from "../../errors/index.js";
import { quadraticForm } from "../../numeric/index.js";
import { tFactor } from "../common/index.js";
import type { RandomBlockFit } from "./reml.js";

/** What a fit with random blocks says of one row. */
export interface BlockPrediction {
  /** For the average block. */
  readonly mean: number;
  readonly standardError: number;
  readonly df: number;
  readonly confidence: { readonly lower: number; readonly upper: number };
  /** For one new row of a block to come: scatter and the block's shift added. */
  readonly prediction: { readonly lower: number; readonly upper: number };
  /** Standard deviation and degrees of freedom of that row about the mean. */
  readonly next: { readonly sd: number; readonly df: number };
}

/**
 * Predicts rows for the average block and for one new row of a block not yet run:
 *
 *     var(mean) = x C x',   var(next) = var(mean) + block variance + error variance
 *
 * with Kenward and Roger's C, and Satterthwaite's degrees of freedom 2 v^2 / var(v) for either, v with the variances
 * known.
 *
 * @param rows - one value per parameter of the fit
 * @throws {BeadbenchError} `bad-argument` for a row of another length, or where the answer leaves the range of numbers
 * @source F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110-114; M. G. Kenward and J. H. Roger, Biometrics 53 (1997)
 *   983-997
 */
export function predictRandomBlock(
  fit: RandomBlockFit,
  rows: readonly (readonly number[])[],
  level = 0.95,
): readonly BlockPrediction[] {
  const { estimates, covariance, doubt } = fit;
  const { errorVariance, blockVariance } = doubt ?? fit;
  const spare = fit.residuals.length - (estimates.length - fit.aliased.length);
  const df = (ofPlain: number, ofSlope: number, extra: 0 | 1): number => {
    if (doubt === undefined) return spare;
    const [[ee, eb], [, bb]] = doubt.covariance;
    const v = ofPlain + extra * (errorVariance + blockVariance);
    const byBlock = ofSlope + extra;
    const byError = (ofPlain - blockVariance * ofSlope) / errorVariance + extra;
    return (2 * v * v) / (ee * byError ** 2 + 2 * eb * byError * byBlock + bb * byBlock ** 2);
  };
  return rows.map((row) => {
    requireThat(
      row.length === estimates.length,
      `predictRandomBlock: ${estimates.length} values needed per row, got ${row.length}`,
    );
    const mean = row.reduce((sum, value, j) => sum + value * estimates[j]!, 0);
    const variance = quadraticForm(row, covariance);
    requireThat(
      Number.isFinite(mean) && Number.isFinite(variance),
      "predictRandomBlock: what the fit says of a row is too large to be written as a number; bring terms and response to a common scale",
    );
    const plain = doubt === undefined ? variance : quadraticForm(row, doubt.plain);
    const slope = doubt === undefined ? 0 : quadraticForm(row, doubt.slopeByBlock);
    const own = { sd: Math.sqrt(variance), df: df(plain, slope, 0) };
    const next = { sd: Math.sqrt(variance + errorVariance + blockVariance), df: df(plain, slope, 1) };
    const about = ({ sd, df: freedom }: typeof own) => {
      const half = tFactor(level, freedom) * sd;
      return { lower: mean - half, upper: mean + half };
    };
    return {
      mean,
      standardError: own.sd,
      df: own.df,
      confidence: about(own),
      prediction: about(next),
      next,
    };
  });
}
