import type { Bounds, ConvergedFit, Model } from "../common/index.js";
import { holdingResponse } from "./held-fits.js";
import { ProfileCurve } from "./profile-curve.js";
import { findEnd } from "./profile-end.js";

/** A range of the response; an open end is only as far as was looked. */
export interface ResponseRange {
  readonly lower: number;
  readonly upper: number;
  readonly open: boolean;
}

/** A row, and the linear approximation of the response there. */
export interface PredictedRow {
  readonly row: readonly number[];
  readonly mean: number;
  /** By the parameters, at the estimates. */
  readonly slopes: readonly number[];
  /** Of the mean. */
  readonly standardError: number;
}

/** Departures from the straight line below this share of the distance are not followed: they move no tail by 0.3 %. */
const STRAIGHT = 0.05;
/** An observation this much more certain than the mean itself holds the mean. */
const CERTAIN = 1e-6;

function sumOfSquares(fit: ConvergedFit, model: Model, theta: readonly number[]): number {
  const { x, y, weights } = fit.observations;
  return y.reduce((sum, value, i) => {
    const residual = value - model.predict(theta, x[i]!);
    return sum + (weights?.[i] ?? 1) * residual * residual;
  }, 0);
}

/**
 * Whether the response at a row is curved over its interval. To leading order a profile of the response departs from a
 * straight line by what the response and the sum of squares depart from line and parabola along the one direction in
 * which the response moves most per rise of the sum of squares.
 */
export function isCurved({
  fit,
  model,
  row: { row, mean, slopes, standardError },
  target,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly row: PredictedRow;
  /** Half length of the interval in standard errors. */
  readonly target: number;
}): boolean {
  if (standardError === 0) return false;
  const along = fit.covariance.map(
    (c) => (target / standardError) * c.reduce((sum, value, k) => sum + value * slopes[k]!, 0),
  );
  const rise = (target * fit.residualSd) ** 2;
  return [-1, 1].some((side) => {
    const theta = fit.estimates.map((value, j) => value + side * along[j]!);
    const response = (model.predict(theta, row) - mean) / (side * target * standardError);
    const height = Math.sqrt((sumOfSquares(fit, model, theta) - fit.rss) / rise);
    return !(Math.abs(response - 1) <= STRAIGHT && Math.abs(height - 1) <= STRAIGHT);
  });
}

/**
 * The values of an observation at a row, `extra` its own variance, that the data do not contradict: those at which the
 * best fit to data and observation together rises by no more than (target s)^2. With no variance of its own it is the
 * mean response, and the range its profile-likelihood interval. For a linear model both are the t intervals.
 *
 * @param linear - places of the parameters the model is linear in
 * @source C. Kreutz, A. Raue and J. Timmer, BMC Systems Biology 6 (2012) 120
 */
export function responseRange({
  fit,
  model,
  at,
  options,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly at: PredictedRow;
  readonly options: {
    readonly extra: number;
    readonly target: number;
    readonly linear: readonly number[];
    readonly bounds: Bounds | undefined;
  };
}): ResponseRange {
  const { row, slopes, standardError } = at;
  const { target, linear, bounds } = options;
  const own = Math.max(options.extra, CERTAIN * standardError ** 2);
  const held = holdingResponse({
    fit,
    model,
    at: { row, slopes, weight: fit.residualSd ** 2 / own },
    linear,
  });
  const curve = new ProfileCurve(fit, held, bounds ?? atBounds(fit));
  const step = 0.4 * target * Math.sqrt(standardError ** 2 + own);
  const below = findEnd({ curve, side: -1, step, target, limit: Number.NEGATIVE_INFINITY });
  const above = findEnd({ curve, side: 1, step, target, limit: Number.POSITIVE_INFINITY });
  return {
    lower: below.value,
    upper: above.value,
    open: below.open !== undefined || above.open !== undefined,
  };
}

/** Bounds that leave the parameters at a bound where they are, and the others free. */
function atBounds({ parameters, estimates, atBound }: ConvergedFit): Bounds | undefined {
  if (atBound.length === 0) return undefined;
  const limit = (open: number): number[] =>
    parameters.map((name, j) => (atBound.includes(name) ? estimates[j]! : open));
  return { lower: limit(Number.NEGATIVE_INFINITY), upper: limit(Number.POSITIVE_INFINITY) };
}
