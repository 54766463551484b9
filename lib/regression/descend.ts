import { applyQTransposed, factorQr } from "../numeric/index.js";
import { marquardtStep } from "./levenberg-marquardt.js";
import { norm } from "./problem.js";
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

/** The linearised problem in scaled parameters, compressed to its triangle. */
class Compressed {
  readonly triangle: Float64Array;
  readonly projected: Float64Array;

  /** @param scale - raised here to the column lengths met; 1 for a column of zeros */
  constructor({ rows, residuals, slopes }: Linearised, scale: Float64Array) {
    const size = scale.length;
    for (let j = 0; j < size; j++) {
      const length = norm(slopes, j * rows, (j + 1) * rows);
      scale[j] = Math.max(scale[j]!, length) || 1;
      for (let i = 0; i < rows; i++) slopes[j * rows + i] = slopes[j * rows + i]! / scale[j]!;
    }
    const factor = factorQr(slopes, rows, size);
    applyQTransposed(factor, residuals);
    const steps = factor.diagonal.length;
    this.projected = new Float64Array(size);
    this.projected.set(residuals.subarray(0, steps));
    this.triangle = new Float64Array(size * size);
    for (let k = 0; k < size; k++) {
      const column = factor.pivots[k]! * size;
      for (let i = 0; i < Math.min(k, steps); i++) this.triangle[column + i] = slopes[k * rows + i]!;
      if (k < steps) this.triangle[column + k] = factor.diagonal[k]!;
    }
  }

  /** Length by which a step moves the values, and the fall of the sum of squares it promises. */
  forecast(step: readonly number[]): { readonly moved: number; readonly fall: number } {
    const size = step.length;
    let moved = 0;
    let fall = 0;
    for (let i = 0; i < size; i++) {
      let change = 0;
      for (let j = 0; j < size; j++) change += this.triangle[j * size + i]! * step[j]!;
      moved += change * change;
      fall += change * (2 * this.projected[i]! - change);
    }
    return { moved: Math.sqrt(moved), fall };
  }
}

/**
 * Walks downhill by damped steps from one start. Only a fall is accepted; a step into a place where the model is not
 * finite is a rejected step. The damping follows the gain (Nielsen 1999), parameters are scaled by the largest
 * column norm seen (More 1978). Ends when a step barely moves the values (settled) or none helps (stalled); neither
 * is yet a claim of convergence.
 */
export function descend(
  separable: SeparableProblem,
  start: readonly number[],
  box: Box,
  maxIterations: number,
  settledOffset = tightOffset,
): Descent {
  let alpha = [...start];
  let rss = separable.evaluate(alpha);
  let theta = [...separable.theta];
  const result = (end: Descent["end"], iterations: number): Descent => ({ theta, rss, iterations, end });
  if (!Number.isFinite(rss)) return result("non-finite", 0);
  if (alpha.length === 0) return result("settled", 0);
  const scale = new Float64Array(alpha.length);
  const quiet = 1e-14 * separable.problem.targetNorm;
  const scaled = (values: readonly number[]): number[] => values.map((value, j) => value * scale[j]!);
  const unscaled = (values: readonly number[]): number[] => values.map((value, j) => value / scale[j]!);
  let damping = firstDamping;
  let growth = 2;
  let local: Compressed | undefined;
  for (let iteration = 0; iteration < maxIterations; iteration++) {
    if (local === undefined) {
      const linearised = separable.linearise();
      if (linearised === undefined) return result("non-finite", iteration);
      local = new Compressed(linearised, scale);
    }
    const current = scaled(alpha);
    let trialRss = Number.POSITIVE_INFINITY;
    const trial = marquardtStep({
      current,
      lower: scaled(box.lower),
      upper: scaled(box.upper),
      triangle: local.triangle,
      projected: local.projected,
      rss,
      damping,
      evaluate: (point) => {
        trialRss = separable.evaluate(unscaled(point));
        return trialRss;
      },
    });
    const { moved, fall } = local.forecast(trial.map((value, j) => value - current[j]!));
    const settled = moved <= settledOffset * Math.sqrt(rss) || moved <= quiet;
    const accepted = trialRss < rss;
    if (accepted) {
      const gain = (rss - trialRss) / fall;
      alpha = unscaled(trial);
      rss = trialRss;
      theta = [...separable.theta];
      local = undefined;
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
