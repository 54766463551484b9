import { inverseGram } from "../../numeric/index.js";
import { type Problem, sweep } from "../common/index.js";
import type { Box } from "./descend.js";
import { type Polished, rounding } from "./polish.js";

export interface ProbeResult {
  /** Free parameters along which the sum of squares stays flat although its curvature says it should rise. */
  readonly flat: readonly number[];
  /** A point with a smaller sum of squares, when one was met. */
  readonly lower: readonly number[] | undefined;
}

/** Steps are this share of a standard error: small enough for the quadratic picture to hold. */
const share = 0.1;
/** Parameters known to better than this share of themselves cannot be running down a flat tail. */
const knownWell = 0.1;

/** (J'J)^-1 of the free parameters at a polished point, p_free x p_free. */
export function freeInverse(polished: Polished): Float64Array {
  const inverse = inverseGram(polished.factor);
  const size = polished.free.length;
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < size; j++) {
      inverse[i * size + j] = inverse[i * size + j]! / (polished.scales[i]! * polished.scales[j]!);
    }
  }
  return inverse;
}

/**
 * Checks that a stationary point is a minimum that holds every parameter: steps a tenth of a standard error to both
 * sides along each loosely known parameter (the others following), and along all together, and compares the rise of the
 * sum of squares with the one foreseen. A tail that runs flat to infinity has a vanishing gradient too; this is what
 * tells it from a minimum.
 */
export function probe({
  problem,
  polished,
  inverse,
  box,
}: {
  readonly problem: Problem;
  readonly polished: Polished;
  readonly inverse: Float64Array;
  readonly box: Box;
}): ProbeResult {
  const { theta, free, rss } = polished;
  const { rows, target } = problem;
  const size = free.length;
  const spread = Math.sqrt(rss / Math.max(1, rows - size));
  const scatter = Math.max(spread, (1e-5 * problem.targetNorm) / Math.sqrt(rows));
  const length = share * scatter;
  const slack = 10 * rounding(polished.bulk, rss);
  const values = new Float64Array(rows);
  /** Smallest rise to either side along a direction; undefined where neither side can be evaluated. */
  const rise = (along: Float64Array): { readonly least: number; readonly point: number[] } | undefined => {
    let least: { readonly least: number; readonly point: number[] } | undefined;
    for (const side of [length, -length]) {
      const point = [...theta];
      for (let i = 0; i < size; i++) point[free[i]!] = theta[free[i]!]! + side * along[i]!;
      if (point.some((value, j) => value < box.lower[j]! || value > box.upper[j]!)) continue;
      if (!sweep({ problem, theta: point, out: values })) continue;
      let at = -rss;
      for (let i = 0; i < rows; i++) at += (target[i]! - values[i]!) ** 2;
      if (least === undefined || at < least.least) least = { least: at, point };
    }
    return least;
  };
  const together = new Float64Array(size);
  const flat: number[] = [];
  for (let k = 0; k < size; k++) {
    const unit = Math.sqrt(inverse[k * size + k]!);
    if (unit === 0) continue;
    const along = inverse.slice(k * size, (k + 1) * size).map((value) => value / unit);
    for (let i = 0; i < size; i++) together[i] = together[i]! + along[i]! / size;
    if (scatter * unit < knownWell * Math.abs(theta[free[k]!]!)) continue;
    const found = rise(along);
    if (found === undefined) continue;
    if (found.least < -slack) return { flat, lower: found.point };
    if (found.least < 0.1 * length * length) flat.push(free[k]!);
  }
  const found = rise(together);
  return { flat, lower: found !== undefined && found.least < -slack ? found.point : undefined };
}
