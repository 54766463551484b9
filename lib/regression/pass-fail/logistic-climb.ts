import { choleskySolve } from "../../numeric/matrices/index.js";
import { LogisticLikelihood, type LogisticProblem } from "./logistic-likelihood.js";

/** A point on the (penalised, perhaps constrained) likelihood. */
export interface LogisticClimb {
  readonly gamma: Float64Array;
  /** Log-likelihood without binomial coefficients. */
  readonly logLikelihood: number;
  /** Log-likelihood plus ln |X'WX| / 2 (Firth) and the prior's quadratic. */
  readonly objective: number;
  /** (Q'WQ + prior)^-1. */
  readonly covariance: Float64Array;
  readonly iterations: number;
  /** Squared length of the last step in units of the standard errors. */
  readonly decrement: number;
  readonly converged: boolean;
}

/** Holds direction . gamma at a value. */
interface Constraint {
  readonly direction: Float64Array;
  readonly value: number;
}

/** Decrement that ends a free climb, and one along a profile, where only the height counts. */
const TOLERANCE = { free: 1e-20, profile: 1e-11 };
/** Newton settles in under 10 steps; Firth's scoring converges linearly and may need more. */
const MAX_ITERATIONS = { plain: 30, firth: 400 };

/**
 * Climbs the likelihood of one problem, freely or along a . gamma = value, by Fisher scoring with step
 * halving. With Firth's penalty the score is sum (y - m p + h (1/2 - p)) x, h the leverage.
 *
 * @source D. Firth, Bias reduction of maximum likelihood estimates, Biometrika 80 (1993) 27-38
 */
export function logisticClimber(
  problem: LogisticProblem,
): (start: Float64Array, constraint?: Constraint) => LogisticClimb {
  const { rank } = problem.basis;
  const work = new LogisticLikelihood(problem);
  const limit = problem.firth ? MAX_ITERATIONS.firth : MAX_ITERATIONS.plain;
  const step = new Float64Array(rank);
  const trial = new Float64Array(rank);
  const across = new Float64Array(rank);

  /** Bends `step` so that gamma + step meets the constraint, by the shortest way in the information's metric. */
  const respect = (gamma: Float64Array, { direction, value }: Constraint): void => {
    across.set(direction);
    choleskySolve(work.factor, rank, across);
    let gap = -value;
    let scale = 0;
    for (let k = 0; k < rank; k++) {
      gap += direction[k]! * (gamma[k]! + step[k]!);
      scale += direction[k]! * across[k]!;
    }
    for (let k = 0; k < rank; k++) step[k]! -= (across[k]! * gap) / scale;
  };

  /** Moves gamma by the step, halved until the objective does not fall. */
  const advance = (gamma: Float64Array): void => {
    const before = work.objective;
    for (let size = 1; ; size /= 2) {
      for (let k = 0; k < rank; k++) trial[k] = gamma[k]! + size * step[k]!;
      work.evaluate(trial);
      if (work.objective >= before - 1e-12 * (1 + Math.abs(before)) || size < 1e-6) break;
    }
    gamma.set(trial);
  };

  return (start, constraint) => {
    const gamma = start.slice();
    const tolerance = constraint === undefined ? TOLERANCE.free : TOLERANCE.profile;
    work.evaluate(gamma);
    if (constraint !== undefined && work.differentiate(gamma)) {
      step.fill(0);
      respect(gamma, constraint);
      for (let k = 0; k < rank; k++) gamma[k]! += step[k]!;
      work.evaluate(gamma);
    }
    let iterations = 0;
    let decrement = Number.POSITIVE_INFINITY;
    while (iterations < limit && decrement >= tolerance && work.differentiate(gamma)) {
      iterations++;
      step.set(work.score);
      choleskySolve(work.factor, rank, step);
      if (constraint !== undefined) respect(gamma, constraint);
      decrement = work.squaredLength(step);
      advance(gamma);
    }
    const { logLikelihood, objective } = work;
    const regular = work.differentiate(gamma);
    return {
      gamma,
      logLikelihood,
      objective,
      covariance: work.inverse.slice(),
      iterations,
      decrement,
      converged: regular && decrement < tolerance,
    };
  };
}
