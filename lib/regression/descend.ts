import { marquardtStep } from "./levenberg-marquardt.js";
import { norm } from "./problem.js";
import type { SeparableProblem } from "./separable.js";

export interface Box {
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}

export interface Descent {
  /** All parameters, linear ones included. */
  readonly theta: readonly number[];
  readonly rss: number;
  readonly iterations: number;
  readonly end: "settled" | "stalled" | "max-iterations" | "non-finite";
}

const firstDamping = 1e-2;
const lowestDamping = 1e-10;
const highestDamping = 1e12;
const settledOffset = 1e-5;

/** Length of J d and the predicted fall of the residual sum of squares for a step d. */
function forecast(
  jacobian: Float64Array,
  residuals: Float64Array,
  step: readonly number[],
): { readonly moved: number; readonly fall: number } {
  const rows = residuals.length;
  let moved = 0;
  let fall = 0;
  for (let i = 0; i < rows; i++) {
    let change = 0;
    for (let j = 0; j < step.length; j++) change += jacobian[j * rows + i]! * step[j]!;
    moved += change * change;
    fall += change * (2 * residuals[i]! - change);
  }
  return { moved: Math.sqrt(moved), fall };
}

/**
 * Walks downhill by damped steps from one start. Only a fall is accepted; a step into a place where the model is not
 * finite is a rejected step. The damping follows the gain (Nielsen 1999), parameters are scaled by the largest
 * column norm seen (More 1978). Ends when a step barely moves the values (settled) or none helps (stalled); neither
 * is yet a claim of convergence.
 */
export function descend(
  separable: SeparableProblem,
  start: readonly number[],
  box: Box,
  maxIterations: number,
): Descent {
  const { problem } = separable;
  const { rows, target } = problem;
  const q = start.length;
  let alpha = [...start];
  let values = new Float64Array(rows);
  let trialValues = new Float64Array(rows);
  let rss = separable.evaluate(alpha, values);
  let theta = [...separable.theta];
  const result = (end: Descent["end"], iterations: number): Descent => ({ theta, rss, iterations, end });
  if (!Number.isFinite(rss)) return result("non-finite", 0);
  if (q === 0) return result("settled", 0);
  const rowIndex = Array.from({ length: rows }, (_, i) => i);
  const jacobian = new Float64Array(rows * q);
  const residuals = new Float64Array(rows);
  const scale = new Float64Array(q);
  const quiet = 1e-14 * problem.targetNorm;
  let damping = firstDamping;
  let growth = 2;
  let fresh = true;
  for (let iteration = 0; iteration < maxIterations; iteration++) {
    if (fresh) {
      if (!separable.derivatives(values, jacobian, "rough")) return result("non-finite", iteration);
      for (let j = 0; j < q; j++) {
        const length = norm(jacobian, j * rows, (j + 1) * rows);
        scale[j] = Math.max(scale[j]!, length);
        const divisor = scale[j] === 0 ? 1 : scale[j]!;
        for (let i = 0; i < rows; i++) jacobian[j * rows + i] = jacobian[j * rows + i]! / divisor;
      }
      for (let i = 0; i < rows; i++) residuals[i] = target[i]! - values[i]!;
    }
    const unit = (j: number): number => (scale[j] === 0 ? 1 : scale[j]!);
    const current = alpha.map((value, j) => value * unit(j));
    let trialRss = Number.POSITIVE_INFINITY;
    const trial = marquardtStep({
      current,
      lower: box.lower.map((value, j) => value * unit(j)),
      upper: box.upper.map((value, j) => value * unit(j)),
      rows: rowIndex,
      target,
      values,
      jacobian,
      damping,
      evaluate: (point) => {
        trialRss = separable.evaluate(
          point.map((value, j) => value / unit(j)),
          trialValues,
        );
        return trialValues;
      },
    });
    const step = trial.map((value, j) => value - current[j]!);
    const { moved, fall } = forecast(jacobian, residuals, step);
    const gain = (rss - trialRss) / fall;
    const settled = moved <= settledOffset * Math.sqrt(rss) || moved <= quiet;
    fresh = trialRss < rss;
    if (fresh) {
      alpha = trial.map((value, j) => value / unit(j));
      [values, trialValues] = [trialValues, values];
      rss = trialRss;
      theta = [...separable.theta];
      damping = Math.max(lowestDamping, damping * Math.max(1 / 9, 1 - (2 * gain - 1) ** 3));
      growth = 2;
    } else {
      damping *= growth;
      growth *= 2;
    }
    if (settled && (damping < 1 || !fresh)) return result("settled", iteration + 1);
    if (damping > highestDamping) return result("stalled", iteration + 1);
  }
  return result("max-iterations", maxIterations);
}
