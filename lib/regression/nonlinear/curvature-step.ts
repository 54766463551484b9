import { choleskyInPlace, choleskySolve } from "../../numeric/index.js";
import { jacobian, type Problem, sweep } from "../common/index.js";
import type { Tangent } from "./tangent.js";

/** Change of a parameter over which the gradient is differenced, as a share of its own and the data's scale. */
const share = 1e-4;
/** Shifts of the diagonal tried, as shares of it, until the curvature is positive. */
const shifts = [0, 1e-3, 1e-2, 0.1, 1, 10, 100];

/**
 * Newton's step by the full curvature of the sum of squares, J'J - sum r_i H_i, from central differences of the
 * gradient. Gauss-Newton leaves the second part out and crawls, or circles, where residuals are large and the model is
 * curved; a few of these steps arrive.
 *
 * @param plane - tangent plane at theta
 * @returns one value per parameter; undefined where a derivative is not finite
 * @source J. E. Dennis and R. B. Schnabel, Numerical Methods for Unconstrained Optimization and Nonlinear Equations
 *   (1983), sections 10.1 and 10.2
 */
export function curvatureStep(
  problem: Problem,
  theta: readonly number[],
  plane: Tangent,
): readonly number[] | undefined {
  const { free, scales } = plane;
  const { rows, target } = problem;
  const size = free.length;
  const values = new Float64Array(rows);
  const slopes = new Float64Array(rows * size);
  /** Downhill gradient J'r by the scaled free parameters. */
  const gradient = (at: readonly number[]): Float64Array | undefined => {
    if (!sweep({ problem, theta: at, out: values })) return undefined;
    if (!jacobian({ problem, theta: at, columns: free, base: values, out: slopes, accuracy: "fine" }))
      return undefined;
    return scales.map((scale, k) => {
      let sum = 0;
      for (let i = 0; i < rows; i++) sum += slopes[k * rows + i]! * (target[i]! - values[i]!);
      return sum / scale;
    });
  };
  const downhill = gradient(theta);
  if (downhill === undefined) return undefined;
  const curvature = new Float64Array(size * size);
  for (let k = 0; k < size; k++) {
    const own = Math.abs(theta[free[k]!]!);
    const reach = plane.bulk / scales[k]!;
    const h = share * (own === 0 ? reach : Math.min(own, reach));
    const shifted = (by: number): number[] => theta.map((value, j) => (j === free[k] ? value + by : value));
    const up = gradient(shifted(h));
    const down = gradient(shifted(-h));
    if (up === undefined || down === undefined) return undefined;
    for (let i = 0; i < size; i++) {
      const value = (down[i]! - up[i]!) / (2 * h * scales[k]!);
      curvature[i * size + k]! += value / 2;
      curvature[k * size + i]! += value / 2;
    }
  }
  for (const shift of shifts) {
    const factor = curvature.slice();
    for (let k = 0; k < size; k++) factor[k * size + k]! += shift;
    if (!choleskyInPlace(factor, size)) continue;
    const move = downhill.slice();
    choleskySolve(factor, size, move);
    const step = new Array<number>(problem.size).fill(0);
    free.forEach((j, k) => {
      step[j] = move[k]! / scales[k]!;
    });
    return step;
  }
  return undefined;
}
