import { applyQTransposed, factorQr } from "../../numeric/index.js";
import { norm } from "../common/index.js";
import { type LocalProblem, MarquardtStep } from "./levenberg-marquardt.js";
import type { Linearised, SeparableProblem } from "./separable.js";

export interface Box {
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}

export interface Descent {
  /** All parameters, linear ones included. */
  readonly theta: readonly number[];
  readonly rss: number;
  readonly iterations: number;
  readonly end: "settled" | "stalled" | "max-iterations" | "non-finite";
}

const firstDamping = 1e-2;
const lowestDamping = 1e-10;
const highestDamping = 1e12;
/** Share of the residuals' length that a step still moves the values by when the walk counts as settled. */
export const tightOffset = 1e-5;

type Compressed = Pick<LocalProblem, "triangle" | "projected">;

/**
 * Compresses the linearised problem in scaled parameters to its triangle.
 *
 * @param scale - raised here to the column lengths met; 1 for a column of zeros
 * @param out - overwritten
 */
function compress({ rows, residuals, slopes }: Linearised, scale: Float64Array, out: Compressed): void {
  const size = scale.length;
  for (let j = 0; j < size; j++) {
    const length = norm(slopes, j * rows, (j + 1) * rows);
    const divisor = Math.max(scale[j]!, length) || 1;
    scale[j] = divisor;
    for (let i = j * rows; i < (j + 1) * rows; i++) slopes[i] = slopes[i]! / divisor;
  }
  const factor = factorQr({ values: slopes, rows, columns: size });
  applyQTransposed(factor, residuals);
  const steps = factor.diagonal.length;
  const { projected, triangle } = out;
  for (let k = 0; k < size; k++) projected[k] = k < steps ? residuals[k]! : 0;
  triangle.fill(0);
  for (let k = 0; k < size; k++) {
    const column = factor.pivots[k]! * size;
    for (let i = 0; i < Math.min(k, steps); i++) triangle[column + i] = slopes[k * rows + i]!;
    if (k < steps) triangle[column + k] = factor.diagonal[k]!;
  }
}

/** Length by which a step moves the values, and the fall of the sum of squares it promises. */
function forecast(
  { triangle, projected }: Compressed,
  from: readonly number[],
  to: readonly number[],
): { readonly moved: number; readonly fall: number } {
  const size = from.length;
  let moved = 0;
  let fall = 0;
  for (let i = 0; i < size; i++) {
    let change = 0;
    for (let j = 0; j < size; j++) change += triangle[j * size + i]! * (to[j]! - from[j]!);
    moved += change * change;
    fall += change * (2 * projected[i]! - change);
  }
  return { moved: Math.sqrt(moved), fall };
}

const scaled = (values: readonly number[], scale: Float64Array): number[] =>
  values.map((value, j) => value * scale[j]!);
const unscaled = (values: readonly number[], scale: Float64Array): number[] =>
  values.map((value, j) => value / scale[j]!);

/**
 * Walks downhill by damped steps from one start. Only a fall is accepted; a step into a place where the model is not
 * finite is a rejected step. The damping follows the gain (Nielsen 1999), parameters are scaled by the largest
 * column norm seen (More 1978). Ends when a step barely moves the values (settled) or none helps (stalled); neither
 * is yet a claim of convergence.
 */
export function descend({
  separable,
  start,
  box,
  maxIterations,
  settledOffset = tightOffset,
}: {
  readonly separable: SeparableProblem;
  readonly start: readonly number[];
  readonly box: Box;
  readonly maxIterations: number;
  readonly settledOffset?: number;
}): Descent {
  let alpha = [...start];
  let rss = separable.evaluate(alpha);
  let theta = [...separable.theta];
  const result = (end: Descent["end"], iterations: number): Descent => ({ theta, rss, iterations, end });
  if (!Number.isFinite(rss)) return result("non-finite", 0);
  if (alpha.length === 0) return result("settled", 0);
  const size = alpha.length;
  const scale = new Float64Array(size);
  const local = { triangle: new Float64Array(size * size), projected: new Float64Array(size) };
  const marquardt = new MarquardtStep(size);
  const quiet = 1e-14 * separable.problem.targetNorm;
  let damping = firstDamping;
  let growth = 2;
  let isCurrent = false;
  let lower = box.lower;
  let upper = box.upper;
  for (let iteration = 0; iteration < maxIterations; iteration++) {
    if (!isCurrent) {
      const linearised = separable.linearise();
      if (linearised === undefined) return result("non-finite", iteration);
      compress(linearised, scale, local);
      lower = scaled(box.lower, scale);
      upper = scaled(box.upper, scale);
      isCurrent = true;
    }
    const current = scaled(alpha, scale);
    const trial = marquardt.propose({ local: { ...local, current, rss }, damping, lower, upper });
    const trialAlpha = unscaled(trial, scale);
    const trialRss = trial === current ? Number.POSITIVE_INFINITY : separable.evaluate(trialAlpha);
    const { moved, fall } = forecast(local, current, trial);
    const settled = moved <= settledOffset * Math.sqrt(rss) || moved <= quiet;
    const accepted = trialRss < rss;
    if (accepted) {
      const gain = (rss - trialRss) / fall;
      alpha = trialAlpha;
      rss = trialRss;
      theta = [...separable.theta];
      isCurrent = false;
      damping = Math.max(lowestDamping, damping * Math.max(1 / 9, 1 - (2 * gain - 1) ** 3));
      growth = 2;
    } else {
      damping *= growth;
      growth *= 2;
    }
    if (settled && (damping < 1 || !accepted)) return result("settled", iteration + 1);
    if (damping > highestDamping) return result("stalled", iteration + 1);
  }
  return result("max-iterations", maxIterations);
}
