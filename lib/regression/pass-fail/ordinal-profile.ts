import { atPoint, type LikelihoodProfile } from "./likelihood-profile.js";
import { climbOrdinal, type OrdinalClimb } from "./ordinal-climb.js";
import type { StandardisedProblem } from "./ordinal-problem.js";

/**
 * The profile of a combination of effects and thresholds.
 *
 * @param top - the free maximum of the same problem
 * @param combination - one coefficient per parameter of the user, effects then thresholds
 */
export function ordinalProfile(
  { problem, map }: StandardisedProblem,
  top: OrdinalClimb,
  combination: readonly number[],
): LikelihoodProfile {
  const size = top.parameters.length;
  const direction = new Float64Array(size);
  combination.forEach((c, r) => {
    for (let a = 0; a < size; a++) direction[a]! += c * map[r]![a]!;
  });
  return {
    ...atPoint(direction, top.parameters, top.inverse),
    top: top.value,
    climb(value, from = top.parameters) {
      const { parameters, value: height } = climbOrdinal(problem, from, { direction, value });
      return { height, point: parameters };
    },
  };
}
