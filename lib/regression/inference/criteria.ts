import { BeadbenchError, requireThat } from "../../errors/index.js";
import { fCdf } from "../../numeric/index.js";
import type { ConvergedFit } from "../common/index.js";

export interface InformationCriteria {
  readonly logLikelihood: number;
  /** Parameters counted, the error variance included. */
  readonly k: number;
  readonly aic: number;
  /** AIC with the small-sample correction 2k(k + 1)/(n - k - 1). */
  readonly aicc: number;
  readonly bic: number;
}

/**
 * Normal-theory information criteria; smaller is better, and only differences between fits to the same responses
 * mean anything (never compare a fit of y with one of log y).
 *
 *     logL = -(n (log(2 pi rss / n) + 1) - sum log w) / 2,   AICc = -2 logL + 2k + 2k(k + 1)/(n - k - 1)
 *
 * @throws {BeadbenchError} `not-enough-data` unless n > k + 1
 * @source C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297-307
 */
export function informationCriteria(fit: ConvergedFit): InformationCriteria {
  const n = fit.residuals.length;
  const k = n - fit.df + 1;
  if (n - k - 1 <= 0) {
    throw new BeadbenchError(
      "not-enough-data",
      `informationCriteria needs more than ${k + 1} rows for ${k} parameters (variance included), got ${n}`,
    );
  }
  requireThat(fit.rss > 0, "informationCriteria: a fit that meets every row exactly has no likelihood");
  const logWeights = (fit.observations.weights ?? []).reduce((sum, w) => sum + Math.log(w), 0);
  const logLikelihood = -0.5 * (n * (Math.log((2 * Math.PI * fit.rss) / n) + 1) - logWeights);
  const aic = -2 * logLikelihood + 2 * k;
  return {
    logLikelihood,
    k,
    aic,
    aicc: aic + (2 * k * (k + 1)) / (n - k - 1),
    bic: -2 * logLikelihood + k * Math.log(n),
  };
}

export interface NestedComparison {
  readonly f: number;
  readonly df1: number;
  readonly df2: number;
  /** Chance of so large a ratio when the smaller model is right. */
  readonly p: number;
}

/**
 * F test of a model against a larger one that contains it, fitted to the same observations.
 *
 * @throws {BeadbenchError} `bad-argument` when the fits do not share their observations or do not nest
 * @source Bates and Watts (1988) section 3.10
 */
export function compareNested(smaller: ConvergedFit, larger: ConvergedFit): NestedComparison {
  const same =
    smaller.observations.y.length === larger.observations.y.length &&
    smaller.observations.y.every((value, i) => value === larger.observations.y[i]);
  requireThat(same, "compareNested: the two fits must be made on the same responses");
  const df1 = smaller.df - larger.df;
  requireThat(
    df1 > 0,
    `compareNested: the second fit must have more parameters, df ${smaller.df} and ${larger.df}`,
  );
  requireThat(
    larger.rss <= smaller.rss * (1 + 1e-8),
    "compareNested: the second fit is worse, so it cannot contain the first",
  );
  requireThat(
    larger.rss > 0,
    "compareNested: the larger model meets every row exactly, which leaves no scatter",
  );
  const f = Math.max(0, smaller.rss - larger.rss) / df1 / (larger.rss / larger.df);
  return { f, df1, df2: larger.df, p: 1 - fCdf(f, df1, larger.df) };
}

/**
 * Relative support for models from their AIC or AICc, summing to 1.
 *
 *     w_i = exp(-(a_i - min a) / 2) / sum
 *
 * @throws {BeadbenchError} `bad-argument` for an empty list
 * @example akaikeWeights([10, 12])[0] // => 0.7310585786
 */
export function akaikeWeights(criteria: readonly number[]): number[] {
  requireThat(criteria.length > 0, "akaikeWeights needs at least one value");
  const least = Math.min(...criteria);
  const raw = criteria.map((value) => Math.exp((least - value) / 2));
  const total = raw.reduce((sum, value) => sum + value, 0);
  return raw.map((value) => value / total);
}

/**
 * Average of what several models predict, with a standard error that includes their disagreement.
 *
 *     mean = sum w m,   se = sum w sqrt(se^2 + (m - mean)^2)
 *
 * @throws {BeadbenchError} `bad-argument` for an empty list, or another number of weights than of predictions
 * @source K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference, 2nd ed. 2002, equation 4.9
 * @example averageModels([{ mean: 4, standardError: 0.5 }, { mean: 6, standardError: 0.5 }], [0.5, 0.5]).standardError // => 1.118033989
 */
export function averageModels(
  predictions: readonly { readonly mean: number; readonly standardError: number }[],
  weights: readonly number[],
): { readonly mean: number; readonly standardError: number } {
  requireThat(
    predictions.length === weights.length && weights.length > 0,
    `averageModels: ${weights.length} weights for ${predictions.length} predictions`,
  );
  const total = weights.reduce((sum, w) => sum + w, 0);
  const mean = predictions.reduce((sum, { mean: m }, i) => sum + (weights[i]! / total) * m, 0);
  const standardError = predictions.reduce(
    (sum, { mean: m, standardError: se }, i) =>
      sum + (weights[i]! / total) * Math.sqrt(se ** 2 + (m - mean) ** 2),
    0,
  );
  return { mean, standardError };
}
