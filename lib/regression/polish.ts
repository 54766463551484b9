import { applyQTransposed, factorQr, type QrFactor, solveUpper } from "../numeric/index.js";
import type { Box } from "./descend.js";
import { jacobian } from "./jacobian.js";
import { norm, type Problem, sweep } from "./problem.js";

export interface Polished {
  readonly theta: readonly number[];
  readonly rss: number;
  readonly values: Float64Array;
  readonly offset: number;
  readonly iterations: number;
  /** QR of the column-scaled derivatives by the free parameters. */
  readonly factor: QrFactor;
  /** What each free column was divided by. */
  readonly scales: Float64Array;
  /** Parameters not held at a bound. */
  readonly free: readonly number[];
}

const maxSteps = 60;
/** Derivatives below this share of what would move the fit count as vanished. */
const rankTolerance = 1e-13;

function residualSum(target: Float64Array, values: Float64Array): number {
  let rss = 0;
  for (let i = 0; i < target.length; i++) rss += (target[i]! - values[i]!) ** 2;
  return rss;
}

/** How far rounding of the model values can move a residual sum of squares. */
export function rounding(problem: Problem, rss: number): number {
  const noise = 8 * Number.EPSILON * problem.targetNorm;
  return noise * (Math.sqrt(rss) + noise);
}

/** Parameters at a bound that the data would push across it. */
function freeParameters(theta: readonly number[], box: Box, j: Float64Array, r: Float64Array): number[] {
  const rows = r.length;
  return theta.flatMap((value, k) => {
    let slope = 0;
    for (let i = 0; i < rows; i++) slope += j[k * rows + i]! * r[i]!;
    const held = (value <= box.lower[k]! && slope <= 0) || (value >= box.upper[k]! && slope >= 0);
    return held ? [] : [k];
  });
}

/**
 * Gauss-Newton steps by pivoted QR of accurate derivatives on the whole model, halved where a full step does not help,
 * until the relative offset (Bates and Watts 1981) no longer falls:
 *
 *     offset = (|Q1' r| / sqrt(p)) / sqrt(|r - Q1 Q1' r|^2 / (n - p) + noise^2)
 *
 * The angle between residuals and the model's tangent plane: 0 at a minimum whatever the units. `noise` is 1e-7 of the
 * root mean square of y, so that data without scatter can be fitted at all.
 *
 * @returns undefined where the model is not finite
 */
export function polish(problem: Problem, start: readonly number[], box: Box): Polished | undefined {
  const { rows, size, target } = problem;
  const columns = Array.from({ length: size }, (_, j) => j);
  const noise = (1e-7 * problem.targetNorm) / Math.sqrt(rows);
  let theta = [...start];
  let values = new Float64Array(rows);
  let trialValues = new Float64Array(rows);
  if (!sweep(problem, theta, values)) return undefined;
  let rss = residualSum(target, values);
  const full = new Float64Array(rows * size);
  const r = new Float64Array(rows);
  let best: Polished | undefined;
  for (let iteration = 0; iteration < maxSteps; iteration++) {
    if (!jacobian(problem, theta, columns, values, full, "fine")) return best;
    for (let i = 0; i < rows; i++) r[i] = target[i]! - values[i]!;
    const free = freeParameters(theta, box, full, r);
    const matrix = new Float64Array(rows * free.length);
    const scales = new Float64Array(free.length);
    free.forEach((j, k) => {
      const length = norm(full, j * rows, (j + 1) * rows);
      scales[k] = length === 0 ? 1 : length;
      for (let i = 0; i < rows; i++) matrix[k * rows + i] = full[j * rows + i]! / scales[k]!;
    });
    const factor = factorQr(matrix, rows, free.length, { rankTolerance });
    const work = Float64Array.from(r);
    applyQTransposed(factor, work);
    const inside = norm(work, 0, factor.rank);
    const outside = norm(work, factor.rank, rows);
    const spread = Math.sqrt(outside ** 2 / Math.max(1, rows - factor.rank) + noise ** 2);
    const offset = inside === 0 ? 0 : inside / Math.sqrt(Math.max(1, factor.rank)) / spread;
    const improved = best === undefined || offset < best.offset;
    const little = best !== undefined && offset > 0.9 * best.offset && offset < 1e-8;
    if (improved) {
      best = {
        theta: [...theta],
        rss,
        values: Float64Array.from(values),
        offset,
        iterations: iteration,
        factor,
        scales,
        free,
      };
    }
    if (offset === 0 || little) break;
    solveUpper(factor, work);
    const step = new Array<number>(size).fill(0);
    for (let k = 0; k < factor.rank; k++) {
      const place = factor.pivots[k]!;
      step[free[place]!] = work[k]! / scales[place]!;
    }
    let taken = false;
    for (let share = 1; share > 1e-3; share /= 2) {
      const trial = theta.map((value, j) =>
        Math.min(box.upper[j]!, Math.max(box.lower[j]!, value + share * step[j]!)),
      );
      if (trial.every((value, j) => value === theta[j])) break;
      if (!sweep(problem, trial, trialValues)) continue;
      const trialRss = residualSum(target, trialValues);
      const allowance = offset < 1e-4 ? rounding(problem, rss) : 0;
      if (trialRss > rss + allowance) continue;
      theta = trial;
      rss = trialRss;
      [values, trialValues] = [trialValues, values];
      taken = true;
      break;
    }
    if (!taken) break;
  }
  return best;
}
