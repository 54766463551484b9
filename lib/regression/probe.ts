import { inverseGram } from "../numeric/index.js";
import type { Box } from "./descend.js";
import { type Polished, rounding } from "./polish.js";
import { type Problem, sweep } from "./problem.js";

export interface ProbeResult {
  /** Free parameters along which the sum of squares stays flat although its curvature says it should rise. */
  readonly flat: readonly number[];
  /** A point with a smaller sum of squares, when one was met. */
  readonly lower: readonly number[] | undefined;
}

/** Steps are this share of a standard error: small enough for the quadratic picture to hold. */
const share = 0.1;

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
 * sides along each parameter (the others following) and compares the rise of the sum of squares with the one foreseen.
 * A tail that runs flat to infinity has a vanishing gradient too; this is what tells it from a minimum.
 */
export function probe(problem: Problem, polished: Polished, box: Box): ProbeResult {
  const { theta, free, rss } = polished;
  const { rows, target } = problem;
  const size = free.length;
  const inverse = freeInverse(polished);
  const spread = Math.sqrt(rss / Math.max(1, rows - size));
  const length = share * Math.max(spread, (1e-5 * problem.targetNorm) / Math.sqrt(rows));
  const values = new Float64Array(rows);
  const flat: number[] = [];
  for (let k = 0; k < size; k++) {
    const unit = Math.sqrt(inverse[k * size + k]!);
    if (unit === 0) continue;
    let isFlat = false;
    for (const side of [length, -length]) {
      const point = [...theta];
      for (let i = 0; i < size; i++)
        point[free[i]!] = theta[free[i]!]! + (side * inverse[k * size + i]!) / unit;
      if (point.some((value, j) => value < box.lower[j]! || value > box.upper[j]!)) continue;
      if (!sweep(problem, point, values)) continue;
      let at = 0;
      for (let i = 0; i < rows; i++) at += (target[i]! - values[i]!) ** 2;
      if (at < rss - 10 * rounding(problem, rss)) return { flat, lower: point };
      if (at - rss < 0.1 * length * length) isFlat = true;
    }
    if (isFlat) flat.push(free[k]!);
  }
  return { flat, lower: undefined };
}
