import { quadraticForm } from "../../numeric/index.js";
import type { Bounds, ConvergedFit, LinearFit, Model } from "../common/index.js";
import { parameterSlopes, tFactor } from "../common/index.js";
import { linearPlaces } from "./held-fits.js";
import { isCurved, type ResponseRange, responseRange } from "./predicted-range.js";

export interface PredictOptions {
  /** Default 0.95. */
  readonly level?: number;
  /** Inverse variance of a new observation, in the units of the fit's weights. Default 1. */
  readonly weight?: number | readonly number[];
  /** Standard deviation with which each regressor is set; adds to the prediction interval (delta method). */
  readonly settingSd?: readonly number[];
  /**
   * `profile` (default) follows the sum of squares at rows where the response is curved over its interval; `symmetric`
   * takes mean +- t standard errors everywhere, which costs a thousandth of the time.
   */
  readonly intervals?: "profile" | "symmetric";
  /** The bounds the fit was made with, for profiles. Default: parameters at a bound stay there, others are free. */
  readonly bounds?: Bounds;
}

export interface Prediction {
  readonly mean: number;
  /** Of the mean. */
  readonly standardError: number;
  /** For the mean response. */
  readonly confidence: { readonly lower: number; readonly upper: number };
  /** For one new observation. */
  readonly prediction: { readonly lower: number; readonly upper: number };
  /** An end of an interval was not found: it is only as far as was looked. */
  readonly open: boolean;
  /** (standardError / residualSd)^2, comparable with the leverages of the data. */
  readonly leverage: number;
  /** Leverage above the largest of the data: the model speaks where it was not measured. */
  readonly extrapolation: boolean;
  /** False where dropped (aliased) terms would matter: the data say nothing about this row. */
  readonly estimable: boolean;
}

/** Whether a row keeps the relations under which aliased terms were dropped. */
function keepsRelations(fit: ConvergedFit, row: readonly number[]): boolean {
  const aliased = (fit as Partial<LinearFit>).aliased ?? [];
  return aliased.every(({ term, coefficients }) => {
    const value = row[fit.parameters.indexOf(term)]!;
    let sum = 0;
    let size = Math.abs(value);
    coefficients.forEach((c, k) => {
      sum += c * row[k]!;
      size += Math.abs(c * row[k]!);
    });
    return Math.abs(value - sum) <= 1e-8 * size;
  });
}

/** Central-difference slope of the response by each regressor, times its setting scatter; sum of squares. */
function settingVariance({
  model,
  theta,
  row,
  sds,
}: {
  readonly model: Model;
  readonly theta: readonly number[];
  readonly row: readonly number[];
  readonly sds: readonly number[];
}): number {
  let variance = 0;
  sds.forEach((sd, j) => {
    if (sd === 0) return;
    const up = [...row];
    const down = [...row];
    const h = 1e-3 * sd;
    up[j] = row[j]! + h;
    down[j] = row[j]! - h;
    const slope = (model.predict(theta, up) - model.predict(theta, down)) / (up[j]! - down[j]!);
    variance += (slope * sd) ** 2;
  });
  return variance;
}

/**
 * Mean response and intervals at rows of regressors.
 *
 *     var(mean) = g' C g,   var(new) = g' C g + s^2 / weight + sum (df/dx_j sd_j)^2,   g = df/dtheta
 *
 * Where the response is curved over its interval the ends are those of the profile likelihood of the mean, and of an
 * observation added to the data: asymmetric, and right where mean +- t standard errors is not.
 *
 * @throws {BeadbenchError} `bad-argument` when the model is not finite at a row
 * @source Bates and Watts (1988) section 2.3.2; C. Kreutz, A. Raue and J. Timmer, BMC Systems Biology 6 (2012) 120
 */
export function predict({
  fit,
  model,
  x,
  ...options
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly x: readonly (readonly number[])[];
} & PredictOptions): Prediction[] {
  const target = tFactor(options.level ?? 0.95, fit.df);
  const { weight = 1, settingSd, intervals = "profile", bounds } = options;
  const slopes = parameterSlopes(model, fit.estimates, x);
  const largest = fit.leverage.reduce((a, b) => Math.max(a, b), 0);
  const linear = intervals === "symmetric" ? [] : linearPlaces(fit, model);
  const mayCurve = intervals === "profile" && fit.residualSd > 0 && linear.length < fit.parameters.length;
  return x.map((row, i) => {
    const mean = model.predict(fit.estimates, row);
    const standardError = Math.sqrt(Math.max(0, quadraticForm(slopes[i]!, fit.covariance)));
    const extra =
      fit.residualSd ** 2 / (typeof weight === "number" ? weight : weight[i]!) +
      (settingSd === undefined ? 0 : settingVariance({ model, theta: fit.estimates, row, sds: settingSd }));
    const at = { row, mean, slopes: slopes[i]!, standardError };
    const range = (own: number): ResponseRange => {
      if (mayCurve && isCurved({ fit, model, row: at, target }))
        return responseRange({ fit, model, at, options: { extra: own, target, linear, bounds } });
      const half = target * Math.sqrt(standardError ** 2 + own);
      return { lower: mean - half, upper: mean + half, open: false };
    };
    const [confidence, prediction] = [range(0), range(extra)];
    const leverage = fit.residualSd === 0 ? 0 : (standardError / fit.residualSd) ** 2;
    return {
      mean,
      standardError,
      confidence: { lower: confidence.lower, upper: confidence.upper },
      prediction: { lower: prediction.lower, upper: prediction.upper },
      open: confidence.open || prediction.open,
      leverage,
      extrapolation: leverage > largest * (1 + 1e-9),
      estimable: keepsRelations(fit, row),
    };
  });
}
