import { choleskyInPlace, choleskyInverse, choleskySolve } from "../../numeric/matrices/index.js";
import { type OrdinalProblem, ordinalLikelihood } from "./ordinal-likelihood.js";

/** A regular fit takes under 15; separated grades gain e-fold per step without end. */
const MAX_ITERATIONS = 30;
/** Squared length of the last step that ends a free climb, and one along a profile, where only the height counts. */
const TOLERANCE = { free: 1e-18, profile: 1e-11 };

/** Logits of the cumulative shares: the maximum without effects. */
function startOf({ grades, columns, grade, count }: OrdinalProblem): Float64Array {
  const shares = new Float64Array(grades);
  grade.forEach((k, i) => {
    shares[k]! += count[i]!;
  });
  const total = shares.reduce((a, b) => a + b, 0);
  const start = new Float64Array(grades - 1 + columns);
  let below = 0;
  for (let k = 0; k < grades - 1; k++) {
    below += shares[k]!;
    start[k] = Math.log(below / (total - below));
  }
  return start;
}

/** The top of an ordinal likelihood, or where the climb stopped. */
export interface OrdinalClimb {
  readonly parameters: Float64Array;
  readonly value: number;
  readonly inverse: Float64Array;
  readonly iterations: number;
  readonly status: "converged" | "max-iterations" | "singular";
}

/** Holds direction . parameters at a value. */
interface Constraint {
  readonly direction: Float64Array;
  readonly value: number;
}

/** Bends a step so that parameters + step meet the constraint, by the shortest way in the information's metric. */
function respect({
  constraint: { direction, value },
  parameters,
  factor,
  step,
}: {
  readonly constraint: Constraint;
  readonly parameters: Float64Array;
  readonly factor: Float64Array;
  readonly step: Float64Array;
}): void {
  const size = step.length;
  const across = direction.slice();
  choleskySolve(factor, size, across);
  let gap = -value;
  let scale = 0;
  for (let k = 0; k < size; k++) {
    gap += direction[k]! * (parameters[k]! + step[k]!);
    scale += direction[k]! * across[k]!;
  }
  for (let k = 0; k < size; k++) step[k]! -= (across[k]! * gap) / scale;
}

/**
 * Newton steps with halving, freely or with a combination of the parameters held: the log-likelihood is concave. A first
 * step meets the constraint; where it leaves the thresholds out of order it is taken in parts.
 */
export function climbOrdinal(
  problem: OrdinalProblem,
  from: Float64Array = startOf(problem),
  constraint?: Constraint,
): OrdinalClimb {
  let parameters = from;
  const size = parameters.length;
  let score = new Float64Array(size);
  let information = new Float64Array(size * size);
  let nextScore = new Float64Array(size);
  let nextInformation = new Float64Array(size * size);
  const factor = new Float64Array(size * size);
  const inverse = new Float64Array(size * size);
  const step = new Float64Array(size);
  const tolerance = constraint === undefined ? TOLERANCE.free : TOLERANCE.profile;
  let value = ordinalLikelihood({ problem, parameters, score, information });
  let isMet = constraint === undefined;
  for (let iterations = 0; ; iterations++) {
    factor.set(information);
    if (!choleskyInPlace(factor, size)) return { parameters, value, inverse, iterations, status: "singular" };
    step.set(score);
    choleskySolve(factor, size, step);
    if (constraint !== undefined) respect({ constraint, parameters, factor, step });
    const decrement = isMet ? squaredLength(step, information) : Number.POSITIVE_INFINITY;
    if (decrement < tolerance || iterations === MAX_ITERATIONS) {
      choleskyInverse(factor, size, inverse);
      return {
        parameters,
        value,
        inverse,
        iterations,
        status: decrement < tolerance ? "converged" : "max-iterations",
      };
    }
    for (let share = 1; ; share /= 2) {
      const next = parameters.map((old, k) => old + share * step[k]!);
      const nextValue = ordinalLikelihood({
        problem,
        parameters: next,
        score: nextScore,
        information: nextInformation,
      });
      // The step to the constraint goes downhill: any finite end will do.
      const isGood = isMet
        ? nextValue >= value - 1e-12 * Math.abs(value)
        : nextValue > Number.NEGATIVE_INFINITY;
      if (isGood || share < 1e-8) {
        isMet ||= share === 1;
        parameters = next;
        value = nextValue;
        [score, nextScore] = [nextScore, score];
        [information, nextInformation] = [nextInformation, information];
        break;
      }
    }
  }
}

/** Squared length of a step in units of the standard errors; the information's lower triangle is enough. */
function squaredLength(step: Float64Array, information: Float64Array): number {
  const size = step.length;
  let sum = 0;
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < a; b++) sum += 2 * step[a]! * information[a * size + b]! * step[b]!;
    sum += information[a * size + a]! * step[a]! ** 2;
  }
  return sum;
}
