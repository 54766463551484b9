import { directionOf } from "../common/index.js";
import type { LikelihoodProfile } from "./likelihood-profile.js";
import type { LogisticClimb, logisticClimber } from "./logistic-climb.js";
import type { LogisticProblem } from "./logistic-likelihood.js";

/**
 * The profile of a combination c . beta of the coefficients.
 *
 * @param climb - the climber of the same problem
 * @param top - its free maximum
 */
export function logisticProfile(
  { basis }: LogisticProblem,
  climb: ReturnType<typeof logisticClimber>,
  top: LogisticClimb,
  combination: readonly number[],
): LikelihoodProfile {
  const { rank } = basis;
  const direction = directionOf(basis, combination);
  let centre = 0;
  let variance = 0;
  for (let a = 0; a < rank; a++) {
    centre += direction[a]! * top.gamma[a]!;
    for (let b = 0; b < rank; b++) variance += direction[a]! * top.covariance[a * rank + b]! * direction[b]!;
  }
  return {
    centre,
    standardError: Math.sqrt(variance),
    top: top.objective,
    climb(value, from = top.gamma) {
      const { objective, gamma } = climb(from, { direction, value });
      return { height: objective, point: gamma };
    },
  };
}
