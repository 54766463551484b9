import { BeadbenchError } from "../../errors/index.js";
import { median } from "../../numeric/index.js";
import type { Fit, Model, Observations } from "../common/index.js";
import type { Psi } from "./robust-psi.js";

/** The normal quantile that makes the median absolute residual a standard deviation, as rounded by custom. */
const MAD_FACTOR = 0.6745;
const MAX_ITERATIONS = 500;
const TOLERANCE = 1e-11;

/** Where the reweighting ended. */
export interface RobustEnd {
  readonly estimates: readonly number[];
  readonly weights: readonly number[];
  readonly scale: number;
  readonly iterations: number;
  readonly converged: boolean;
}

/** y - model, row by row. */
export function residualsOf(model: Model, estimates: readonly number[], { x, y }: Observations): number[] {
  return x.map((row, i) => y[i]! - model.predict(estimates, row));
}

const robustScale = (residuals: readonly number[]): number => median(residuals.map(Math.abs)) / MAD_FACTOR;

/** Residuals in units of the standard deviation of a row of weight 1. */
export function inStandardUnits(residuals: readonly number[], { weights }: Observations): number[] {
  return weights === undefined ? [...residuals] : residuals.map((r, i) => r * Math.sqrt(weights[i]!));
}

/** Reweights and refits until estimates and scale stand still. */
export function reweight({
  observations,
  model,
  leastSquares,
  psi,
  start,
}: {
  readonly observations: Observations;
  readonly model: Model;
  readonly leastSquares: (rows: Observations) => Fit;
  readonly psi: Psi;
  readonly start: readonly number[];
}): RobustEnd {
  let weights: readonly number[] = start;
  let estimates: readonly number[] = [];
  let scale = 0;
  for (let iterations = 1; iterations <= MAX_ITERATIONS; iterations++) {
    const kept = weights.flatMap((weight, i) => (weight > 0 ? [i] : []));
    const step = leastSquares({
      x: kept.map((i) => observations.x[i]!),
      y: kept.map((i) => observations.y[i]!),
      weights: kept.map((i) => weights[i]! * (observations.weights?.[i] ?? 1)),
    });
    if (step.status !== "converged") {
      throw new BeadbenchError("refused", `fitRobust: least squares ended with ${step.status}`);
    }
    const residuals = inStandardUnits(residualsOf(model, step.estimates, observations), observations);
    const change = step.estimates.reduce((most, value, j) => {
      const size = Math.max(Math.abs(value), step.standardErrors[j]!);
      return size === 0
        ? most
        : Math.max(most, Math.abs(value - (estimates[j] ?? Number.POSITIVE_INFINITY)) / size);
    }, 0);
    const before = scale;
    estimates = step.estimates;
    scale = robustScale(residuals);
    const largest = residuals.reduce((most, r) => Math.max(most, Math.abs(r)), 0);
    if (scale <= 1e-12 * largest || largest === 0) {
      return { estimates, weights, scale: 0, iterations, converged: true };
    }
    weights = residuals.map((r) => psi.weight(r / scale));
    if (change < TOLERANCE && Math.abs(scale - before) < TOLERANCE * scale) {
      return { estimates, weights, scale, iterations, converged: true };
    }
  }
  return { estimates, weights, scale, iterations: MAX_ITERATIONS, converged: false };
}
