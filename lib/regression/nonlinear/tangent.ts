import { applyQTransposed, factorQr, type QrFactor, solveUpper } from "../../numeric/index.js";
import { type Accuracy, jacobian, norm, type Problem } from "../common/index.js";
import type { Box } from "./descend.js";

/** The plane that touches the model's surface at a point, and where the residuals fall on it. */
export interface Tangent {
  /** Parameters not held at a bound. */
  readonly free: readonly number[];
  /** QR of the column-scaled derivatives by the free parameters. */
  readonly factor: QrFactor;
  /** What each free column was divided by. */
  readonly scales: Float64Array;
  /** Relative offset of Bates and Watts: 0 at a minimum whatever the units. */
  readonly offset: number;
  /** Gauss-Newton step, one value per parameter. */
  readonly step: readonly number[];
  /** Length of the terms the values are summed from: sum of |theta_j| times the length of column j, or that of y. */
  readonly bulk: number;
}

export interface TangentOptions {
  readonly box: Box;
  readonly accuracy: Accuracy;
  /** rows x size numbers that the plane's factor takes over. */
  readonly slopes: Float64Array;
  /** One number per row, overwritten. */
  readonly residuals: Float64Array;
}

/** Derivatives dependent to within this, columns at unit length, count as dependent. */
const rankTolerance = 1e-13;

/** Leaves out parameters at a bound that the data would push across it. */
function freeParameters({
  theta,
  box,
  slopes,
  r,
}: {
  readonly theta: readonly number[];
  readonly box: Box;
  readonly slopes: Float64Array;
  readonly r: Float64Array;
}): number[] {
  const rows = r.length;
  const free: number[] = [];
  for (let j = 0; j < theta.length; j++) {
    const low = theta[j]! <= box.lower[j]!;
    const high = theta[j]! >= box.upper[j]!;
    let slope = 0;
    if (low || high) for (let i = 0; i < rows; i++) slope += slopes[j * rows + i]! * r[i]!;
    if (!(low && slope <= 0) && !(high && slope >= 0)) free.push(j);
  }
  return free;
}

/**
 * Offset and Gauss-Newton step for residuals r, which are overwritten, by a factor already at hand.
 *
 *     offset = (|Q1' r| / sqrt(p)) / sqrt(|r - Q1 Q1' r|^2 / (n - p) + noise^2)
 *
 * `noise` is 1e-7 of the root mean square of y, so that data without scatter can be fitted at all.
 *
 * @source D. M. Bates and D. G. Watts, Technometrics 23 (1981) 179-183
 */
export function stepByFactor(
  problem: Problem,
  { free, factor, scales }: Pick<Tangent, "free" | "factor" | "scales">,
  r: Float64Array,
): Pick<Tangent, "offset" | "step"> {
  const { rows, size } = problem;
  applyQTransposed(factor, r);
  const inside = norm(r, 0, factor.rank);
  const outside = norm(r, factor.rank, rows);
  const noise = (1e-7 * problem.targetNorm) / Math.sqrt(rows);
  const spread = Math.sqrt(outside ** 2 / Math.max(1, rows - factor.rank) + noise ** 2);
  const offset = inside === 0 ? 0 : inside / Math.sqrt(Math.max(1, factor.rank)) / spread;
  solveUpper(factor, r);
  const step = new Array<number>(size).fill(0);
  for (let k = 0; k < factor.rank; k++) {
    const place = factor.pivots[k]!;
    step[free[place]!] = r[k]! / scales[place]!;
  }
  return { offset, step };
}

/**
 * Tangent plane at theta.
 *
 * @param values - weighted model values at theta
 * @returns undefined where a derivative is not finite
 */
export function tangent({
  problem,
  theta,
  values,
  box,
  accuracy,
  slopes,
  residuals: r,
}: {
  readonly problem: Problem;
  readonly theta: readonly number[];
  readonly values: Float64Array;
} & TangentOptions): Tangent | undefined {
  const { rows, places, target } = problem;
  if (!jacobian({ problem, theta, columns: places, base: values, out: slopes, accuracy })) return undefined;
  for (let i = 0; i < rows; i++) r[i] = target[i]! - values[i]!;
  const free = freeParameters({ theta, box, slopes, r });
  const scales = new Float64Array(free.length);
  let bulk = 0;
  for (let k = 0; k < free.length; k++) {
    const from = free[k]! * rows;
    const length = norm(slopes, from, from + rows);
    const scale = length === 0 ? 1 : length;
    scales[k] = scale;
    bulk += Math.abs(theta[free[k]!]!) * length;
    for (let i = 0; i < rows; i++) slopes[k * rows + i] = slopes[from + i]! / scale;
  }
  const factor = factorQr({ values: slopes, rows, columns: free.length, rankTolerance });
  const plane = { free, factor, scales, bulk: Math.max(bulk, problem.targetNorm) };
  return { ...plane, ...stepByFactor(problem, plane, r) };
}
