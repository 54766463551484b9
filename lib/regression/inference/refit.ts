import { applyQTransposed, factorQr, type QrFactor, solveUpper } from "../../numeric/index.js";
import type { ConvergedFit, Model } from "../common/index.js";
import { jacobian, makeProblem, type Problem, sweep } from "../common/index.js";
import { descend, detectLinear, SeparableProblem } from "../nonlinear/index.js";

/**
 * Fits the same model many times to altered data from the same start, over one workspace. Good to about 1e-5 standard
 * errors for nonlinear models: enough for resampling, not for reporting. Undefined when a fit fails.
 */
export interface Refitter {
  /** New responses (unweighted), the weights of the fit. */
  refit(y: ArrayLike<number>): readonly number[] | undefined;
  /** The responses of the fit, new weights; 0 leaves a row out. */
  reweigh(weights: ArrayLike<number>): readonly number[] | undefined;
}

/** A model linear in all parameters: its columns never change, and without new weights neither does their QR. */
function linearRefitter(problem: Problem, y: readonly number[]): Refitter {
  const { rows, size } = problem;
  const root = Float64Array.from(problem.root);
  problem.root.fill(1);
  const offset = new Float64Array(rows);
  const columns = new Float64Array(rows * size);
  const everything = Array.from({ length: size }, (_, j) => j);
  const zero = new Array<number>(size).fill(0);
  sweep({ problem, theta: zero, out: offset });
  jacobian({ problem, theta: zero, columns: everything, base: offset, out: columns, accuracy: "fine" });
  const work = new Float64Array(rows);
  const scratch = new Float64Array(rows * size);
  const factorWith = (roots: Float64Array): QrFactor => {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < rows; i++) scratch[j * rows + i] = columns[j * rows + i]! * roots[i]!;
    }
    return factorQr({ values: scratch, rows, columns: size });
  };
  const solve = (factor: QrFactor): readonly number[] | undefined => {
    if (factor.rank < size) return undefined;
    applyQTransposed(factor, work);
    solveUpper(factor, work);
    const theta = new Array<number>(size).fill(0);
    for (let k = 0; k < size; k++) theta[factor.pivots[k]!] = work[k]!;
    return theta;
  };
  const { values, ...rest } = factorWith(root);
  const kept: QrFactor = { ...rest, values: Float64Array.from(values) };
  const roots = new Float64Array(rows);
  return {
    refit(responses) {
      for (let i = 0; i < rows; i++) work[i] = root[i]! * (responses[i]! - offset[i]!);
      return solve(kept);
    },
    reweigh(weights) {
      for (let i = 0; i < rows; i++) {
        roots[i] = Math.sqrt(weights[i]!);
        work[i] = roots[i]! * (y[i]! - offset[i]!);
      }
      return solve(factorWith(roots));
    },
  };
}

export function makeRefitter(fit: ConvergedFit, model: Model): Refitter {
  const problem = makeProblem(fit.observations, model);
  fit.estimates.forEach((value, j) => {
    problem.magnitude[j] = Math.abs(value);
  });
  const held = fit.atBound.map((name) => fit.parameters.indexOf(name));
  const found =
    model.linearIn === undefined
      ? detectLinear(problem, fit.estimates)
      : model.linearIn.map((name) => model.parameters.indexOf(name));
  const linear = found.filter((j) => !held.includes(j));
  const { y } = fit.observations;
  if (linear.length === problem.size) return linearRefitter(problem, y);
  const separable = new SeparableProblem(problem, linear);
  const start = separable.nonlinear.map((j) => fit.estimates[j]!);
  const limit = (open: number): number[] =>
    separable.nonlinear.map((j) => (held.includes(j) ? fit.estimates[j]! : open));
  const box = { lower: limit(Number.NEGATIVE_INFINITY), upper: limit(Number.POSITIVE_INFINITY) };
  const root = Float64Array.from(problem.root);
  const run = (responses: ArrayLike<number>): readonly number[] | undefined => {
    for (let i = 0; i < problem.rows; i++) problem.target[i] = problem.root[i]! * responses[i]!;
    const { theta, end } = descend({ separable, start, box, maxIterations: 60 });
    return end === "settled" || end === "stalled" ? theta : undefined;
  };
  return {
    refit(responses) {
      problem.root.set(root);
      return run(responses);
    },
    reweigh(weights) {
      for (let i = 0; i < problem.rows; i++) problem.root[i] = Math.sqrt(weights[i]!);
      return run(y);
    },
  };
}
