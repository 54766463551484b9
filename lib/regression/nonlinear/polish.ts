import { type Problem, sweep } from "../common/index.js";
import { AndersonHistory } from "./anderson.js";
import type { Box } from "./descend.js";
import { type Tangent, tangent } from "./tangent.js";

export interface Polished extends Tangent {
  readonly theta: readonly number[];
  readonly rss: number;
  readonly iterations: number;
}

const maxSteps = 60;
const lastDigits = 1e-11;
/** Below this offset steps are accelerated and rounding of the sum of squares is allowed for. */
const nearOffset = 1e-2;

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

/** Whether a step changes no parameter by more than its eleventh digit. */
function barelyMoves(theta: readonly number[], step: readonly number[]): boolean {
  for (let j = 0; j < theta.length; j++) if (Math.abs(step[j]!) > 1e-11 * Math.abs(theta[j]!)) return false;
  return true;
}

/** Steps by the whole model, halved where a full step does not help. */
class Walker {
  theta: number[];
  rss: number;
  values: Float64Array;
  private trialValues: Float64Array;

  constructor(
    private readonly problem: Problem,
    private readonly box: Box,
    start: readonly number[],
  ) {
    this.theta = [...start];
    this.values = new Float64Array(problem.rows);
    this.trialValues = new Float64Array(problem.rows);
    this.rss = sweep(problem, this.theta, this.values)
      ? residualSum(problem.target, this.values)
      : Number.POSITIVE_INFINITY;
  }

  /** Moves when the sum of squares does not rise by more than `allowance`. */
  take(step: readonly number[], allowance: number, halvings: number): boolean {
    const { problem, box, theta } = this;
    for (let k = 0, share = 1; k <= halvings; k++, share /= 2) {
      const trial = theta.map((value, j) =>
        Math.min(box.upper[j]!, Math.max(box.lower[j]!, value + share * step[j]!)),
      );
      if (trial.every((value, j) => value === theta[j])) return false;
      if (!sweep(problem, trial, this.trialValues)) continue;
      const rss = residualSum(problem.target, this.trialValues);
      if (!(rss <= this.rss + allowance)) continue;
      this.theta = trial;
      this.rss = rss;
      [this.values, this.trialValues] = [this.trialValues, this.values];
      return true;
    }
    return false;
  }
}

/**
 * Gauss-Newton steps by pivoted QR of accurate derivatives on the whole model, accelerated near the end, until the
 * relative offset reaches the goal or falls no further. Returns the best point met. Each step corrects the rounding of
 * the one before, as iterative refinement does for a linear problem.
 *
 * @param goal - offset at which to stop. Default: where the last digits are
 * @returns undefined where the model is not finite
 */
export function polish(
  problem: Problem,
  start: readonly number[],
  box: Box,
  goal = lastDigits,
): Polished | undefined {
  const walker = new Walker(problem, box, start);
  if (!Number.isFinite(walker.rss)) return undefined;
  const history = new AndersonHistory();
  const sizes = new Float64Array(problem.size);
  let best: Polished | undefined;
  let poor = 0;
  for (let iteration = 0; iteration < maxSteps; iteration++) {
    const { theta, rss } = walker;
    const plane = tangent(problem, theta, walker.values, box);
    if (plane === undefined) return best;
    const { offset } = plane;
    poor = best !== undefined && offset < 1e-8 && offset > 0.3 * best.offset ? poor + 1 : 0;
    if (best === undefined || offset < best.offset) best = { ...plane, theta, rss, iterations: iteration };
    if (offset <= goal || poor === 2 || (offset < 1e-8 && barelyMoves(theta, plane.step))) break;
    const near = offset < nearOffset;
    const allowance = near ? rounding(problem, rss) : 0;
    let moved = false;
    if (near && plane.free.length === problem.size) {
      plane.free.forEach((j, k) => {
        sizes[j] = plane.scales[k]!;
      });
      moved = walker.take(history.accelerate(theta, plane.step, sizes), allowance, 0);
    }
    if (!moved) {
      history.clear();
      if (!walker.take(plane.step, allowance, 10)) break;
    }
  }
  return best;
}
