import { findRoot, normalQuantile } from "../../numeric/index.js";
import { directionOf } from "../common/index.js";
import type { LogisticClimb, logisticClimber } from "./logistic-climb.js";
import type { LogisticProblem } from "./logistic-likelihood.js";

/**
 * Limits of a combination c . beta where the profile of the objective has fallen by chi-square(1, level) / 2:
 * the signed root of twice the fall, nearly straight in c . beta, is solved for +-z on either side.
 *
 * @param climb - the climber of the same problem
 * @param top - its free maximum
 * @source D. J. Venzon and S. H. Moolgavkar, Applied Statistics 37 (1988) 87-94; with Firth's penalty
 *   G. Heinze and M. Schemper, Statistics in Medicine 21 (2002) 2409-2419
 */
export function profileLimits(
  problem: LogisticProblem,
  climb: ReturnType<typeof logisticClimber>,
  top: LogisticClimb,
  combination: readonly number[],
  level: number,
): { readonly lower: number; readonly upper: number } {
  const { rank } = problem.basis;
  const direction = directionOf(problem.basis, combination);
  let centre = 0;
  let variance = 0;
  for (let a = 0; a < rank; a++) {
    centre += direction[a]! * top.gamma[a]!;
    for (let b = 0; b < rank; b++) variance += direction[a]! * top.covariance[a * rank + b]! * direction[b]!;
  }
  const se = Math.sqrt(variance);
  if (se === 0) return { lower: centre, upper: centre };
  const z = normalQuantile(0.5 + level / 2);

  const limit = (side: 1 | -1): number => {
    let warm = top.gamma;
    const beyond = (distance: number): number => {
      if (distance === 0) return -z;
      const point = climb(warm, { direction, value: centre + side * distance });
      warm = point.gamma;
      return Math.sqrt(2 * Math.max(0, top.objective - point.objective)) - z;
    };
    let near = 0;
    let far = z * se;
    for (let tries = 0; tries < 60 && beyond(far) < 0; tries++) {
      near = far;
      far *= 1.5;
    }
    return centre + side * findRoot(beyond, near, far, 1e-8 * se).x;
  };
  return { lower: limit(-1), upper: limit(1) };
}
