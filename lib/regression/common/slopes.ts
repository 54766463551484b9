import { requireThat } from "../../errors/index.js";
import { jacobian } from "./jacobian.js";
import { makeProblem, sweep } from "./problem.js";
import type { Model } from "./types.js";

/**
 * Partial derivatives of the response by each parameter, one row per row of x: analytic where the model has a gradient,
 * else by extrapolated central differences.
 *
 * @throws {BeadbenchError} `bad-argument` where the model is not finite
 */
export function parameterSlopes(
  model: Model,
  theta: readonly number[],
  x: readonly (readonly number[])[],
): number[][] {
  const rows = x.length;
  const problem = makeProblem({ x, y: new Array<number>(rows).fill(0) }, model);
  const values = new Float64Array(rows);
  const slopes = new Float64Array(rows * problem.size);
  const columns = Array.from({ length: problem.size }, (_, j) => j);
  const finite =
    sweep({ problem, theta, out: values }) &&
    jacobian({ problem, theta, columns, base: values, out: slopes, accuracy: "fine" });
  requireThat(finite, "the model is not finite at one of the rows");
  return x.map((_, i) => columns.map((j) => slopes[j * rows + i]!));
}
