import type { Problem } from "../common/index.js";

const sampleRows = 12;
const noise = 64 * Number.EPSILON;

/** Unweighted model values on a spread of rows; undefined when one is not finite. */
function sample(
  problem: Problem,
  picked: readonly number[],
  theta: readonly number[],
): Float64Array | undefined {
  const values = new Float64Array(picked.length);
  for (let k = 0; k < picked.length; k++) {
    const value = problem.model.predict(theta, problem.x[picked[k]!]!);
    if (!Number.isFinite(value)) return undefined;
    values[k] = value;
  }
  problem.evaluations += picked.length;
  return values;
}

function shifted(theta: readonly number[], shifts: readonly (readonly [number, number])[]): number[] {
  const point = [...theta];
  for (const [j, value] of shifts) point[j] = value;
  return point;
}

/**
 * Which parameters enter linearly, jointly, judged from model values on some rows: along each such parameter equal
 * steps change every row equally, and two of them do not act on each other. Earlier parameters win where two exclude
 * each other (as in a product). A wrong guess costs time and not correctness: fits are certified on the whole model.
 */
export function detectLinear(problem: Problem, theta: readonly number[]): number[] {
  const { rows, size } = problem;
  const count = Math.min(rows, sampleRows);
  const picked = Array.from({ length: count }, (_, k) => Math.floor((k * rows) / count));
  const base = sample(problem, picked, theta);
  if (base === undefined) return [];
  const step = (j: number): number => (theta[j] === 0 ? 1 : 0.75 * theta[j]!);
  const single: (Float64Array | undefined)[] = [];

  const straight = (j: number): boolean => {
    const near = sample(problem, picked, shifted(theta, [[j, theta[j]! + step(j)]]));
    single[j] = near;
    const origin = sample(problem, picked, shifted(theta, [[j, 0]]));
    const far = sample(problem, picked, shifted(theta, [[j, theta[j]! - 3 * step(j)]]));
    if (near === undefined || far === undefined || origin === undefined) return false;
    const toOrigin = -theta[j]! / step(j);
    let moved = false;
    for (let k = 0; k < count; k++) {
      const slope = near[k]! - base[k]!;
      const size = Math.abs(base[k]!) + Math.abs(near[k]!) + Math.abs(far[k]!);
      if (Math.abs(slope) > 1e-7 * size) moved = true;
      if (Math.abs(far[k]! - base[k]! + 3 * slope) > noise * size) return false;
      if (Math.abs(origin[k]! - base[k]! - toOrigin * slope) > noise * size) return false;
    }
    return moved;
  };
  const independent = (i: number, j: number): boolean => {
    const both = sample(
      problem,
      picked,
      shifted(theta, [
        [i, theta[i]! + step(i)],
        [j, theta[j]! + step(j)],
      ]),
    );
    if (both === undefined) return false;
    for (let k = 0; k < count; k++) {
      const parts = [base[k]!, single[i]![k]!, single[j]![k]!, both[k]!];
      const size = parts.reduce((sum, value) => sum + Math.abs(value), 0);
      if (Math.abs(parts[3]! - parts[2]! - parts[1]! + parts[0]!) > noise * size) return false;
    }
    return true;
  };

  const linear: number[] = [];
  for (let j = 0; j < size; j++) {
    if (straight(j) && linear.every((i) => independent(i, j))) linear.push(j);
  }
  return linear;
}
