import { choleskySolve } from "../numeric/index.js";
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

const TOLERANCE = 1e-20;
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
): (start: Float64Array, constraint?: { direction: Float64Array; value: number }) => LogisticClimb {
  const { rank } = problem.basis;
  const work = new LogisticLikelihood(problem);
  const limit = problem.firth ? MAX_ITERATIONS.firth : MAX_ITERATIONS.plain;
  const step = new Float64Array(rank);
  const across = new Float64Array(rank);

  return (start, constraint) => {
    const gamma = start.slice();
    if (constraint !== undefined) {
      // Onto the constraint by the shortest way in the metric of the information.
      work.evaluate(gamma);
      const ok = work.differentiate(gamma);
      if (ok) moveOnto(gamma, constraint);
    }
    work.evaluate(gamma);
    let iterations = 0;
    let decrement = Number.POSITIVE_INFINITY;
    while (iterations < limit && work.differentiate(gamma)) {
      iterations++;
      step.set(work.score);
      choleskySolve(work.factor, rank, step);
      if (constraint !== undefined) {
        let along = 0;
        let offset = -constraint.value;
        for (let k = 0; k < rank; k++) offset += constraint.direction[k]! * gamma[k]!;
        across.set(constraint.direction);
        choleskySolve(work.factor, rank, across);
        let scale = 0;
        for (let k = 0; k < rank; k++) {
          along += constraint.direction[k]! * step[k]!;
          scale += constraint.direction[k]! * across[k]!;
        }
        for (let k = 0; k < rank; k++) step[k]! -= (across[k]! * (along + offset)) / scale;
      }
      decrement = 0;
      for (let a = 0; a < rank; a++) {
        for (let b = 0; b <= a; b++) {
          const value = work.information[a * rank + b]! + (work.priorInformation?.[a * rank + b] ?? 0);
          decrement += (a === b ? 1 : 2) * step[a]! * value * step[b]!;
        }
      }
      const before = work.objective;
      let size = 1;
      for (;;) {
        for (let k = 0; k < rank; k++) work.trial[k] = gamma[k]! + size * step[k]!;
        work.evaluate(work.trial);
        if (work.objective >= before - 1e-12 * (1 + Math.abs(before)) || size < 1e-6) break;
        size /= 2;
      }
      gamma.set(work.trial);
      if (decrement < TOLERANCE) break;
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
      converged: regular && decrement < TOLERANCE,
    };
  };

  function moveOnto(gamma: Float64Array, constraint: { direction: Float64Array; value: number }): void {
    across.set(constraint.direction);
    choleskySolve(work.factor, rank, across);
    let scale = 0;
    let offset = constraint.value;
    for (let k = 0; k < rank; k++) {
      scale += constraint.direction[k]! * across[k]!;
      offset -= constraint.direction[k]! * gamma[k]!;
    }
    for (let k = 0; k < rank; k++) gamma[k]! += (across[k]! * offset) / scale;
  }
}
