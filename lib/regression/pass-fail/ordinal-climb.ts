import { choleskyInPlace, choleskyInverse, choleskySolve } from "../../numeric/index.js";
import { type OrdinalProblem, ordinalLikelihood } from "./ordinal-likelihood.js";

/** A regular fit takes under 15; separated grades gain e-fold per step without end. */
const MAX_ITERATIONS = 30;
const TOLERANCE = 1e-18;

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

/** Newton steps with halving: the log-likelihood is concave. */
export function climbOrdinal(problem: OrdinalProblem): OrdinalClimb {
  let parameters = startOf(problem);
  const size = parameters.length;
  let score = new Float64Array(size);
  let information = new Float64Array(size * size);
  let nextScore = new Float64Array(size);
  let nextInformation = new Float64Array(size * size);
  const factor = new Float64Array(size * size);
  const inverse = new Float64Array(size * size);
  const step = new Float64Array(size);
  let value = ordinalLikelihood(problem, parameters, score, information);
  for (let iterations = 0; ; iterations++) {
    factor.set(information);
    if (!choleskyInPlace(factor, size)) return { parameters, value, inverse, iterations, status: "singular" };
    step.set(score);
    choleskySolve(factor, size, step);
    const decrement = step.reduce((sum, s, k) => sum + s * score[k]!, 0);
    if (decrement < TOLERANCE || iterations === MAX_ITERATIONS) {
      choleskyInverse(factor, size, inverse);
      return {
        parameters,
        value,
        inverse,
        iterations,
        status: decrement < TOLERANCE ? "converged" : "max-iterations",
      };
    }
    for (let share = 1; ; share /= 2) {
      const next = parameters.map((old, k) => old + share * step[k]!);
      const nextValue = ordinalLikelihood(problem, next, nextScore, nextInformation);
      if (nextValue >= value - 1e-12 * Math.abs(value) || share < 1e-8) {
        parameters = next;
        value = nextValue;
        [score, nextScore] = [nextScore, score];
        [information, nextInformation] = [nextInformation, information];
        break;
      }
    }
  }
}
