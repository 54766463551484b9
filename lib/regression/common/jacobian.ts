import { norm, type Problem, sweep } from "./problem.js";

/** `rough`: one-sided differences, for the way there. `fine`: extrapolated central ones, for the last digits. */
export type Accuracy = "rough" | "fine";

const roughStep = Math.sqrt(Number.EPSILON);
const fineStep = 4e-3;

/** Typical size of a parameter for differencing: its magnitude, unless a smaller change already moves everything. */
function typicalSize(problem: Problem, j: number, value: number): number {
  const magnitude = Math.max(Math.abs(value), problem.magnitude[j]!);
  const reach = problem.reach[j]!;
  if (Number.isFinite(reach) && reach > 0) return magnitude === 0 ? reach : Math.min(magnitude, reach);
  return magnitude === 0 ? 1 : magnitude;
}

function recordReach(problem: Problem, j: number, length: number, valuesNorm: number): void {
  if (length > 0 && Number.isFinite(length)) {
    problem.reach[j] = Math.max(valuesNorm, 1e-3 * problem.targetNorm) / length;
  }
}

/** Derivatives by the model's own gradient. */
export function analyticSlopes(
  problem: Problem,
  theta: readonly number[],
  columns: readonly number[],
  out: Float64Array,
): boolean {
  const { model, rows, x, root } = problem;
  problem.evaluations += rows;
  let sum = 0;
  for (let i = 0; i < rows; i++) {
    const partials = model.gradient!(theta, x[i]!);
    for (let k = 0; k < columns.length; k++) {
      const value = root[i]! * partials[columns[k]!]!;
      out[k * rows + i] = value;
      sum += value;
    }
  }
  return Number.isFinite(sum);
}

/** Work arrays of the difference formulas, shared by all columns of one problem size. */
interface Scratch {
  readonly up: Float64Array;
  readonly down: Float64Array;
  readonly coarse: Float64Array;
  readonly middle: Float64Array;
}

const scratchOf = (rows: number): Scratch => ({
  up: new Float64Array(rows),
  down: new Float64Array(rows),
  coarse: new Float64Array(rows),
  middle: new Float64Array(rows),
});

function forward(
  problem: Problem,
  theta: number[],
  j: number,
  base: Float64Array,
  out: Float64Array,
  offset: number,
  scratch: Scratch,
): boolean {
  const { rows } = problem;
  const kept = theta[j]!;
  const step = roughStep * typicalSize(problem, j, kept);
  for (const signed of [step, -step]) {
    theta[j] = kept + signed;
    const actual = theta[j]! - kept;
    const finite = sweep(problem, theta, scratch.up);
    theta[j] = kept;
    if (!finite || actual === 0) continue;
    for (let i = 0; i < rows; i++) out[offset + i] = (scratch.up[i]! - base[i]!) / actual;
    return true;
  }
  return false;
}

/** Central difference with step h into `out`; false when a value is not finite. */
function central(
  problem: Problem,
  theta: number[],
  j: number,
  h: number,
  out: Float64Array,
  offset: number,
  scratch: Scratch,
): boolean {
  const kept = theta[j]!;
  const above = kept + h;
  const below = kept - h;
  theta[j] = above;
  const upper = sweep(problem, theta, scratch.up);
  theta[j] = below;
  const lower = upper && sweep(problem, theta, scratch.down);
  theta[j] = kept;
  if (!lower) return false;
  const width = above - below;
  for (let i = 0; i < problem.rows; i++) out[offset + i] = (scratch.up[i]! - scratch.down[i]!) / width;
  return true;
}

/**
 * Three central differences, steps h, h/2, h/4, extrapolated to sixth order (Richardson). The step shrinks while
 * the last two extrapolations disagree, which tells a function that bends faster than its parameter's size suggests.
 */
function extrapolated(
  problem: Problem,
  theta: number[],
  j: number,
  out: Float64Array,
  offset: number,
  scratch: Scratch,
): boolean {
  const { rows } = problem;
  let h = fineStep * typicalSize(problem, j, theta[j]!);
  let best = Number.POSITIVE_INFINITY;
  const { coarse, middle } = scratch;
  const kept = new Float64Array(rows);
  for (let round = 0; round < 4; round++, h /= 16) {
    const finite =
      central(problem, theta, j, h, coarse, 0, scratch) &&
      central(problem, theta, j, h / 2, middle, 0, scratch) &&
      central(problem, theta, j, h / 4, kept, 0, scratch);
    if (!finite) continue;
    let change = 0;
    let size = 0;
    for (let i = 0; i < rows; i++) {
      const first = (4 * middle[i]! - coarse[i]!) / 3;
      const second = (4 * kept[i]! - middle[i]!) / 3;
      const value = (16 * second - first) / 15;
      change += (value - second) ** 2;
      size += value * value;
      kept[i] = value;
    }
    const error = size === 0 ? 0 : Math.sqrt(change / size);
    if (error < best) {
      best = error;
      out.set(kept, offset);
    }
    if (error < 1e-9 || error > 2 * best) break;
  }
  return best < Number.POSITIVE_INFINITY;
}

/**
 * Derivatives of the weighted model values by the named parameters into `out`, one column each.
 *
 * @param base - weighted model values at theta
 * @returns false when a derivative is not finite
 */
export function jacobian(
  problem: Problem,
  theta: readonly number[],
  columns: readonly number[],
  base: Float64Array,
  out: Float64Array,
  accuracy: Accuracy,
): boolean {
  if (problem.model.gradient !== undefined) return analyticSlopes(problem, theta, columns, out);
  const { rows } = problem;
  const valuesNorm = norm(base, 0, rows);
  const point = [...theta];
  const scratch = scratchOf(rows);
  for (let k = 0; k < columns.length; k++) {
    const j = columns[k]!;
    const finite =
      accuracy === "rough"
        ? forward(problem, point, j, base, out, k * rows, scratch)
        : extrapolated(problem, point, j, out, k * rows, scratch);
    if (!finite) return false;
    recordReach(problem, j, norm(out, k * rows, (k + 1) * rows), valuesNorm);
  }
  return true;
}
