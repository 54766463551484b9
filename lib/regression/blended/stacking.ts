import { requireThat } from "../../errors/index.js";

/** How much the prior weights count: as much as this many times the mean squared error of the first forecaster. */
const STRENGTH = 2;
const STEPS = 400;

/**
 * Weights, none negative and summing to 1, with which forecasters together err least on what they had not seen, pulled
 * towards weights believed before:
 *
 *     min over w of  sum_i (sum_k w_k e_ik)^2 / mean e_i1^2 + 2 |w - w0|^2
 *
 * by projected gradients. With few rows the weights stay near w0.
 *
 * @param errors - one row per left-out case, one error per forecaster
 * @throws {BeadbenchError} `bad-argument` for rows of errors of another number of forecasters than weights
 * @source stacking: L. Breiman, Machine Learning 24 (1996) 49-64; projection on the simplex: J. Duchi et al., ICML 2008
 */
export function stackingWeights(
  errors: readonly (readonly number[])[],
  prior: readonly number[],
): readonly number[] {
  const k = prior.length;
  requireThat(
    k > 0 && errors.every((row) => row.length === k),
    `stackingWeights: ${k} weights for errors of another number of forecasters`,
  );
  const square = errors.reduce((sum, row) => sum + row[0]! ** 2, 0) / errors.length;
  const gram = prior.map((_, a) =>
    prior.map((__, b) => {
      const sum = square > 0 ? errors.reduce((total, row) => total + row[a]! * row[b]!, 0) / square : 0;
      return sum + (a === b ? STRENGTH : 0);
    }),
  );
  // The trace bounds the largest eigenvalue.
  const step = 1 / gram.reduce((sum, row, a) => sum + row[a]!, 0);
  let weights: readonly number[] = prior;
  for (let i = 0; i < STEPS; i++) {
    const now = weights;
    weights = ontoSimplex(
      now.map(
        (w, a) => w - step * (gram[a]!.reduce((sum, g, b) => sum + g * now[b]!, 0) - STRENGTH * prior[a]!),
      ),
    );
  }
  return weights;
}

/** The nearest point whose parts are not negative and sum to 1. */
function ontoSimplex(v: readonly number[]): readonly number[] {
  const sorted = [...v].sort((a, b) => b - a);
  let sum = 0;
  let shift = 0;
  sorted.forEach((value, i) => {
    sum += value;
    const candidate = (sum - 1) / (i + 1);
    if (value > candidate) shift = candidate;
  });
  return v.map((value) => Math.max(0, value - shift));
}
