import { descend } from "./descend.js";
import { detectLinear } from "./detect-linear.js";
import { makeProblem, type Problem } from "./problem.js";
import { SeparableProblem } from "./separable.js";
import type { ConvergedFit, Model } from "./types.js";

/**
 * Fits the same model many times to altered data from the same start, over one workspace. Good to about 1e-5 standard
 * errors: enough for resampling, not for reporting.
 */
export interface Refitter {
  readonly problem: Problem;
  /**
   * @param y - new responses, unweighted
   * @param weights - new weights; 0 leaves a row out
   * @returns parameters, or undefined when the model could not be fitted
   */
  refit(y: ArrayLike<number>, weights: ArrayLike<number>): readonly number[] | undefined;
}

export function makeRefitter(fit: ConvergedFit, model: Model): Refitter {
  const problem = makeProblem(fit.observations, model);
  fit.estimates.forEach((value, j) => {
    problem.magnitude[j] = Math.abs(value);
  });
  const held = fit.atBound.map((name) => fit.parameters.indexOf(name));
  const linear =
    model.linearIn === undefined
      ? detectLinear(problem, fit.estimates)
      : model.linearIn.map((name) => model.parameters.indexOf(name));
  const separable = new SeparableProblem(
    problem,
    linear.filter((j) => !held.includes(j)),
  );
  const start = separable.nonlinear.map((j) => fit.estimates[j]!);
  const limit = (open: number): number[] =>
    separable.nonlinear.map((j) => (held.includes(j) ? fit.estimates[j]! : open));
  const box = { lower: limit(Number.NEGATIVE_INFINITY), upper: limit(Number.POSITIVE_INFINITY) };
  return {
    problem,
    refit(y, weights) {
      for (let i = 0; i < problem.rows; i++) {
        const root = Math.sqrt(weights[i]!);
        problem.root[i] = root;
        problem.target[i] = root * y[i]!;
      }
      const { theta, end } = descend(separable, start, box, 60);
      return end === "settled" || end === "stalled" ? theta : undefined;
    },
  };
}
