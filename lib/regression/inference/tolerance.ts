import { requireNumber } from "../../errors/index.js";
import { chiSquareQuantile, normalQuantile } from "../../numeric/index.js";

export interface ToleranceOptions {
  /** Share of future observations to be held. Default 0.95. */
  readonly share?: number;
  /** Confidence that they are. Default 0.95. */
  readonly confidence?: number;
}

/**
 * Two-sided normal tolerance factor k: mean +- k s holds a share of the population with a confidence (Howe).
 *
 *     k = z((1 + share) / 2) sqrt(df (1 + leverage) / chi2(1 - confidence, df))
 *
 * `leverage` is 1/n for a plain sample; at a point of a regression it is the leverage of {@link predict} (Wallis's
 * effective sample size). Within about 1 % of the exact factor for df >= 5.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source W. G. Howe, J. Am. Stat. Assoc. 64 (1969) 610-620; W. A. Wallis (1951) for regression;
 * NIST/SEMATECH e-Handbook 7.2.6.3
 * @example toleranceFactor(42, 1 / 43, { share: 0.9, confidence: 0.99 }) // => 2.2173159
 */
export function toleranceFactor(df: number, leverage: number, options: ToleranceOptions = {}): number {
  const share = requireNumber("share", options.share ?? 0.95, { above: 0, below: 1 });
  const confidence = requireNumber("confidence", options.confidence ?? 0.95, { above: 0, below: 1 });
  requireNumber("toleranceFactor: df", df, { above: 0 });
  requireNumber("toleranceFactor: leverage", leverage, { min: 0 });
  return (
    normalQuantile((1 + share) / 2) * Math.sqrt((df * (1 + leverage)) / chiSquareQuantile(1 - confidence, df))
  );
}

/**
 * mean +- k s with the factor of {@link toleranceFactor}; normal errors assumed.
 *
 * @example toleranceInterval({ mean: 5, leverage: 0.1 }, { residualSd: 0.2, df: 9 }).lower // => 4.32362
 */
export function toleranceInterval(
  at: { readonly mean: number; readonly leverage: number },
  fit: { readonly residualSd: number; readonly df: number },
  options: ToleranceOptions = {},
): { readonly lower: number; readonly upper: number } {
  const half = toleranceFactor(fit.df, at.leverage, options) * fit.residualSd;
  return { lower: at.mean - half, upper: at.mean + half };
}
