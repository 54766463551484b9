import type { ConvergedFit, Model } from "../common/index.js";
import { makeRefitter } from "./refit.js";

export interface LeaveOneOut {
  /** `closed-form` is exact for linear fits; `one-step` the same formula on a nonlinear one, first order only. */
  readonly method: "closed-form" | "one-step" | "refit";
  /** Each row predicted from the others; NaN for a row that alone carries a parameter, which no other foresees. */
  readonly predicted: readonly number[];
  /** Sum of squared weighted prediction errors; Infinity, as what follows from it, with a row that none foresees. */
  readonly press: number;
  /** sqrt(press / n). */
  readonly rmse: number;
  /** 1 - press / (weighted sum of squares about the mean): share of the scatter foreseen. */
  readonly foreseen: number;
  /** Rows whose refit failed and which fell back on one step. */
  readonly fallbacks: number;
}

function summary({
  fit,
  method,
  predicted,
  fallbacks,
}: {
  readonly fit: ConvergedFit;
  readonly method: LeaveOneOut["method"];
  readonly predicted: readonly number[];
  readonly fallbacks: number;
}): LeaveOneOut {
  const { y, weights } = fit.observations;
  const weight = (i: number): number => weights?.[i] ?? 1;
  let press = 0;
  let sum = 0;
  let total = 0;
  y.forEach((value, i) => {
    press += Number.isNaN(predicted[i]!)
      ? Number.POSITIVE_INFINITY
      : weight(i) * (value - predicted[i]!) ** 2;
    sum += weight(i) * value;
    total += weight(i);
  });
  const centre = sum / total;
  let about = 0;
  y.forEach((value, i) => {
    about += weight(i) * (value - centre) ** 2;
  });
  return {
    method,
    predicted,
    press,
    rmse: Math.sqrt(press / y.length),
    foreseen: about === 0 ? 0 : 1 - press / about,
    fallbacks,
  };
}

/** y - r / (1 - h); NaN for a row that alone carries a parameter (h = 1), which nothing foresees. */
function shortcut(fit: ConvergedFit): number[] {
  return fit.residuals.map((r, i) => {
    const room = 1 - fit.leverage[i]!;
    return room < 1e-10 ? Number.NaN : fit.observations.y[i]! - r / room;
  });
}

/**
 * Leave-one-out prediction errors in closed form, r / (1 - h): exact for linear fits, one step for nonlinear ones
 * (`method` says which).
 *
 * @source D. M. Allen, Technometrics 16 (1974) 125-127
 * @example leaveOneOut(fitLinear({ x: [[1], [1], [1]], y: [1, 2, 6] }, { names: ["mean"] })).predicted[1] // => 3.5
 */
export function leaveOneOut(fit: ConvergedFit): LeaveOneOut {
  return summary({
    fit,
    method: "rank" in fit ? "closed-form" : "one-step",
    predicted: shortcut(fit),
    fallbacks: 0,
  });
}

/**
 * Leave-one-out by fitting n times: the exact answer for a nonlinear model.
 *
 * @example leaveOneOutRefit(fitLinear({ x: [[1], [1], [1]], y: [1, 2, 6] }, { names: ["mean"] }), linearModel(["mean"])).predicted[1] // => 3.5
 */
export function leaveOneOutRefit(fit: ConvergedFit, model: Model): LeaveOneOut {
  const { y, x, weights } = fit.observations;
  const { reweigh } = makeRefitter(fit, model);
  const kept = y.map((_, i) => weights?.[i] ?? 1);
  const oneStep = shortcut(fit);
  let fallbacks = 0;
  const predicted = y.map((_, i) => {
    const without = kept.map((weight, k) => (k === i ? 0 : weight));
    const theta = reweigh(without);
    const value = theta === undefined ? Number.NaN : model.predict(theta, x[i]!);
    if (Number.isFinite(value)) return value;
    fallbacks++;
    return oneStep[i]!;
  });
  return summary({ fit, method: "refit", predicted, fallbacks });
}
