import { directionOf } from "../common/index.js";
import { atPoint, type LikelihoodProfile } from "./likelihood-profile.js";
import type { LogisticClimb, logisticClimber } from "./logistic-climb.js";
import type { LogisticProblem } from "./logistic-likelihood.js";

/**
 * The profile of a combination c . beta of the coefficients.
 *
 * @param climb - the climber of the same problem
 * @param top - its free maximum
 */
export function logisticProfile({
  problem: { basis },
  climb,
  top,
  combination,
}: {
  readonly problem: LogisticProblem;
  readonly climb: ReturnType<typeof logisticClimber>;
  readonly top: LogisticClimb;
  readonly combination: readonly number[];
}): LikelihoodProfile {
  const direction = directionOf(basis, combination);
  return {
    ...atPoint(direction, top.gamma, top.covariance),
    top: top.objective,
    climb(value, from = top.gamma) {
      const { objective, gamma } = climb(from, { direction, value });
      return { height: objective, point: gamma };
    },
  };
}
