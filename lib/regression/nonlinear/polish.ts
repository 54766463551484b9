import type { Accuracy, Problem } from "../common/index.js";
import { AndersonHistory } from "./anderson.js";
import { curvatureStep } from "./curvature-step.js";
import type { Box } from "./descend.js";
import { stepByFactor, type Tangent, tangent } from "./tangent.js";
import { Walker } from "./walker.js";

export interface Polished extends Tangent {
  readonly theta: readonly number[];
  readonly rss: number;
  /** Tangent planes taken on the way. */
  readonly iterations: number;
}

export interface PolishOptions {
  readonly box: Box;
  /** Offset at which to stop. Default: where the last digits are. */
  readonly goal?: number;
  /** Tangent planes at most. Default 60. */
  readonly most?: number;
}

const lastDigits = 1e-11;
/** Below this offset steps are accelerated and rounding of the sum of squares is allowed for. */
const nearOffset = 1e-2;
/** Below this offset differences have to hold to ten digits, and below the second to the last. */
const accurateBelow = { middle: 1e-4, fine: 1e-8 };
/** A step that leaves more than this share of the offset asks for better derivatives. */
const slow = 0.3;
/** Derivatives hold to the last digits asked of them while the point moves by no more than this. */
const stillOffset = 1e-9;
/** Planes after which every second step of a walk that has not arrived takes the full curvature into account. */
const patience = 12;

/** How far rounding of the model values can move a residual sum of squares; `bulk` as of a tangent plane. */
export function rounding(bulk: number, rss: number): number {
  const noise = 8 * Number.EPSILON * bulk;
  return noise * (Math.sqrt(rss) + noise);
}

/** Whether a step changes no parameter by more than its eleventh digit. */
function barelyMoves(theta: readonly number[], step: readonly number[]): boolean {
  for (let j = 0; j < theta.length; j++) if (Math.abs(step[j]!) > 1e-11 * Math.abs(theta[j]!)) return false;
  return true;
}

/** The differences a point needs, judged by the offset it is expected to have. */
function neededAccuracy(expected: number, worst: Accuracy): Accuracy {
  if (worst === "fine" || expected < accurateBelow.fine) return "fine";
  return worst === "middle" || expected < accurateBelow.middle ? "middle" : "rough";
}

/**
 * The last step, by derivatives that still hold there; undefined when it does not bring the point nearer.
 *
 * @param r - one number per row, overwritten
 */
function lastStep({
  problem,
  walker,
  best,
  r,
}: {
  readonly problem: Problem;
  readonly walker: Walker;
  readonly best: Polished;
  readonly r: Float64Array;
}): Polished | undefined {
  if (!walker.take(best.step, rounding(best.bulk, walker.rss))) return undefined;
  const { theta, rss, values } = walker;
  for (let i = 0; i < r.length; i++) r[i] = problem.target[i]! - values[i]!;
  const { offset, step } = stepByFactor(problem, best, r);
  return offset < best.offset ? { ...best, theta, rss, offset, step } : undefined;
}

/**
 * Gauss-Newton steps by pivoted QR on the whole model until the relative offset reaches the goal or falls no further.
 * Derivatives are as accurate as the offset asks. Near the end steps are accelerated, and where that does not arrive the
 * full curvature is used. Returns the best point met. Each step corrects the rounding of the one before, as iterative
 * refinement does for a linear problem.
 *
 * @returns undefined where the model is not finite
 */
export function polish(
  problem: Problem,
  start: readonly number[],
  options: PolishOptions,
): Polished | undefined {
  const { box, goal = lastDigits, most = 60 } = options;
  const walker = new Walker(problem, box, start);
  if (!Number.isFinite(walker.rss)) return undefined;
  const history = new AndersonHistory();
  const { rows, size } = problem;
  const sizes = new Float64Array(size);
  const residuals = new Float64Array(rows);
  /** What the next plane is laid down in, and what the best one lies in. */
  let slopes: Float64Array | undefined;
  let kept: Float64Array | undefined;
  let accuracy: Accuracy = problem.model.gradient === undefined ? "rough" : "fine";
  let best: Polished | undefined;
  let poor = 0;
  let offset = Number.POSITIVE_INFINITY;
  for (let iteration = 1; iteration <= most; iteration++) {
    if (iteration === most) accuracy = "fine";
    const { theta, rss } = walker;
    slopes ??= new Float64Array(rows * size);
    const plane = tangent({ problem, theta, values: walker.values, box, accuracy, slopes, residuals });
    if (plane === undefined) return best;
    const isFine = accuracy === "fine";
    const ratio = plane.offset / offset;
    offset = plane.offset;
    if (isFine) {
      poor = best !== undefined && offset < 1e-8 && offset > 0.3 * best.offset ? poor + 1 : 0;
      if (best === undefined || offset < best.offset) {
        best = { ...plane, theta, rss, iterations: iteration };
        [slopes, kept] = [kept, slopes];
      }
      if (offset <= goal || poor === 2 || (offset < 1e-8 && barelyMoves(theta, plane.step))) break;
      if (offset <= stillOffset && offset === best.offset) {
        const last = lastStep({ problem, walker, best, r: residuals });
        if (last === undefined) continue;
        best = last;
        break;
      }
    }
    const near = offset < nearOffset;
    if (near && ratio > slow) accuracy = accuracy === "rough" ? "middle" : "fine";
    accuracy = neededAccuracy(offset * Math.min(0.1, ratio), accuracy);
    const allowance = near ? rounding(plane.bulk, rss) : 0;
    let moved = false;
    if (iteration > (near ? 1 : 2) * patience && iteration % 2 === 0 && offset > 1e-8) {
      const step = curvatureStep(problem, theta, plane);
      moved = step !== undefined && walker.takeShare(step, allowance);
      history.clear();
    } else if (near && plane.free.length === size) {
      plane.free.forEach((j, k) => {
        sizes[j] = plane.scales[k]!;
      });
      moved = walker.take(history.accelerate(theta, plane.step, sizes), allowance);
    }
    if (!moved) {
      history.clear();
      moved = walker.takeShare(plane.step, allowance);
    }
    if (!moved) {
      if (isFine) break;
      accuracy = "fine";
    }
  }
  return best;
}
