import { ownValue } from "../../errors/index.js";
import { requireConverged } from "../common/index.js";
import { type Prediction, predict } from "../inference/index.js";
import { type CurveFit, curveModel } from "./fit-curve.js";

/**
 * What a fitted formula foretells at rows of its variables, with intervals of the mean and of one reading to come.
 *
 * @throws {BeadbenchError} `refused` for a fit that found no answer, `bad-argument` for a row without a variable
 *   or where the formula has no finite value
 */
export function predictCurve(
  curve: CurveFit,
  rows: readonly Readonly<Record<string, number>>[],
): readonly Prediction[] {
  const points = rows.map((row) => curve.variables.map((name) => ownValue(row, name) ?? Number.NaN));
  return predict({
    fit: requireConverged(curve.fit),
    model: curveModel(curve),
    x: points,
    level: curve.level,
  });
}
