import { choleskyInPlace, choleskySolve } from "../../numeric/index.js";
import type { ConvergedFit, Fold, Model } from "../common/index.js";
import { coefficientsOf, designBasis, parameterSlopes } from "../common/index.js";
import { makeRefitter } from "./refit.js";

/** Below this a direction of the rows left out is held by no row that stays. */
const LEAST_ROOM = 1e-9;

/**
 * Estimates of a fit without the rows of each fold,
 *
 *     theta - (X'X)^-1 X_S' (I - H_SS)^-1 r_S,   H = X (X'X)^-1 X'
 *
 * exact where the model is linear; other models are fitted again without the rows.
 *
 * @returns per fold the estimates, or undefined where the rows that stay do not determine what all rows did
 * @source R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982, section 3.6 (deleting several rows)
 */
export function estimatesWithoutFolds(
  fit: ConvergedFit,
  model: Model,
  folds: readonly Fold[],
): readonly (readonly number[] | undefined)[] {
  const { x, y, weights } = fit.observations;
  const slopes = parameterSlopes(model, fit.estimates, x);
  const root = y.map((_, i) => Math.sqrt(weights?.[i] ?? 1));
  const basis = designBasis(
    slopes.map((row, i) => row.map((value) => value * root[i]!)),
    model.parameters,
  );
  const { rank, q } = basis;
  const steps = folds.map(({ without }) => {
    const size = without.length;
    const room = new Float64Array(size * size);
    without.forEach((i, a) => {
      without.forEach((k, b) => {
        let h = 0;
        for (let m = 0; m < rank; m++) h += q[i * rank + m]! * q[k * rank + m]!;
        room[a * size + b] = (a === b ? 1 : 0) - h;
      });
    });
    if (!choleskyInPlace(room, size)) return undefined;
    for (let a = 0; a < size; a++) if (room[a * size + a]! ** 2 < LEAST_ROOM) return undefined;
    const pull = Float64Array.from(without, (i) => root[i]! * fit.residuals[i]!);
    choleskySolve(room, size, pull);
    const gamma = new Float64Array(rank);
    without.forEach((i, a) => {
      for (let m = 0; m < rank; m++) gamma[m]! += q[i * rank + m]! * pull[a]!;
    });
    return coefficientsOf(basis, gamma);
  });
  if ("rank" in fit || isLinear(model, fit, slopes)) {
    return steps.map((step) => step && fit.estimates.map((estimate, j) => estimate - step[j]!));
  }
  const { reweigh } = makeRefitter(fit, model);
  return folds.map(({ without }, k) => {
    if (steps[k] === undefined) return undefined;
    const gone = new Set(without);
    return reweigh(y.map((_, i) => (gone.has(i) ? 0 : (weights?.[i] ?? 1))));
  });
}

/** Whether the slopes do not depend on where they are taken. */
function isLinear(model: Model, fit: ConvergedFit, slopes: readonly (readonly number[])[]): boolean {
  const elsewhere = fit.estimates.map((estimate) => 1.5 * estimate + 0.5);
  return parameterSlopes(model, elsewhere, fit.observations.x).every((row, i) =>
    row.every((value, j) => Math.abs(value - slopes[i]![j]!) <= 1e-9 * Math.abs(value)),
  );
}
