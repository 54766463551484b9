import { makeScratch, norm, type Problem, type Scratch, sweep } from "./problem.js";

/**
 * `rough`: one-sided differences, 7 digits, for the way there. `middle`: central ones, 10 digits. `fine`: extrapolated
 * central ones, for the last digits.
 */
export type Accuracy = "rough" | "middle" | "fine";

/** Steps, as shares of a parameter's typical size. */
const steps = { rough: Math.sqrt(Number.EPSILON), middle: Math.cbrt(Number.EPSILON), fine: 2e-3 };
/** Second differences below this share of the values are rounding. */
const straightNoise = 16 * Number.EPSILON;
/** A parameter near 0 is moved by this share of what would move the values by their own size. */
const leastReach = 1e-3;
/** Values moved by less than this share of their size have moved by rounding only. */
const leastChange = 1e-13;
/** How often, and how much, a change is enlarged that moved nothing. */
const enlargements = { most: 5, factor: 1e4 };

/** Typical size of a parameter for differencing: its magnitude, unless a smaller change already moves everything. */
function typicalSize(problem: Problem, j: number, value: number): number {
  const magnitude = Math.max(Math.abs(value), problem.magnitude[j]!);
  const reach = problem.reach[j]!;
  if (Number.isFinite(reach) && reach > 0) return Math.max(leastReach * reach, Math.min(magnitude, reach));
  return magnitude === 0 ? 1 : magnitude;
}

function recordReach({
  problem,
  j,
  length,
  valuesNorm,
}: {
  readonly problem: Problem;
  readonly j: number;
  readonly length: number;
  readonly valuesNorm: number;
}): void {
  if (length > 0 && Number.isFinite(length)) {
    problem.reach[j] = Math.max(valuesNorm, 1e-3 * problem.targetNorm) / length;
  }
}

/** Derivatives by the model's own gradient. */
export function analyticSlopes({
  problem,
  theta,
  columns,
  out,
}: {
  readonly problem: Problem;
  readonly theta: readonly number[];
  readonly columns: readonly number[];
  readonly out: Float64Array;
}): boolean {
  const { model, rows, x, root, whole } = problem;
  problem.evaluations += rows;
  if (whole !== undefined) {
    const starts = new Int32Array(problem.size).fill(-1);
    for (let k = 0; k < columns.length; k++) starts[columns[k]!] = k * rows;
    return Number.isFinite(whole.slopes(theta, x, root, starts, out));
  }
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

/** One column of derivatives to take: by parameter j, into `out` from `offset`. */
interface Column {
  readonly problem: Problem;
  /** Altered while differences are taken, and put back. */
  readonly theta: number[];
  readonly j: number;
  /** Weighted model values at theta. */
  readonly base: Float64Array;
  readonly out: Float64Array;
  readonly offset: number;
  readonly scratch: Scratch;
}

/** One-sided difference, to the other side where the model is not finite. */
function forward({ problem, theta, j, base, out, offset, scratch }: Column, step: number): boolean {
  const { rows } = problem;
  const kept = theta[j]!;
  for (const signed of [step, -step]) {
    theta[j] = kept + signed;
    const actual = theta[j]! - kept;
    const finite = sweep({ problem, theta, out: scratch.up });
    theta[j] = kept;
    if (!finite) continue;
    const divisor = actual === 0 ? signed : actual;
    for (let i = 0; i < rows; i++) out[offset + i] = (scratch.up[i]! - base[i]!) / divisor;
    return true;
  }
  return false;
}

/** Central difference with step h into `out`; false when a value is not finite. */
function central({
  column: { problem, theta, j, scratch },
  h,
  out,
  offset = 0,
}: {
  readonly column: Column;
  readonly h: number;
  readonly out: Float64Array;
  readonly offset?: number;
}): boolean {
  const { up, down } = scratch;
  const kept = theta[j]!;
  const above = kept + h;
  const below = kept - h;
  theta[j] = above;
  const upper = sweep({ problem, theta, out: up });
  theta[j] = below;
  const lower = upper && sweep({ problem, theta, out: down });
  theta[j] = kept;
  if (!lower) return false;
  const width = above === below ? 2 * h : above - below;
  for (let i = 0; i < problem.rows; i++) out[offset + i] = (up[i]! - down[i]!) / width;
  return true;
}

/** Relative distance of two columns. */
function distance(a: Float64Array, b: Float64Array): number {
  let change = 0;
  let size = 0;
  for (let i = 0; i < a.length; i++) {
    change += (a[i]! - b[i]!) ** 2;
    size += b[i]! * b[i]!;
  }
  return size === 0 ? 0 : Math.sqrt(change / size);
}

/**
 * Central differences with steps h and h/2, extrapolated (Richardson); where they differ by more than the square root of
 * the error allowed, h/4 joins them. The step shrinks while the last two extrapolations disagree, which tells a function
 * that bends faster than its parameter's size suggests.
 */
function extrapolated(column: Column, step: number): boolean {
  const { out, offset, scratch } = column;
  const { coarse, middle, finest } = scratch;
  const rows = coarse.length;
  let h = step;
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round < 4; round++, h /= 16) {
    if (!central({ column, h, out: coarse }) || !central({ column, h: h / 2, out: middle })) continue;
    // The error left after one extrapolation is about the square of the difference.
    if (distance(coarse, middle) < 2e-5) {
      for (let i = 0; i < rows; i++) out[offset + i] = (4 * middle[i]! - coarse[i]!) / 3;
      return true;
    }
    if (!central({ column, h: h / 4, out: finest })) continue;
    for (let i = 0; i < rows; i++) {
      const first = (4 * middle[i]! - coarse[i]!) / 3;
      const second = (4 * finest[i]! - middle[i]!) / 3;
      middle[i] = second;
      finest[i] = (16 * second - first) / 15;
    }
    const error = distance(middle, finest);
    if (error < best) {
      best = error;
      out.set(finest, offset);
    }
    if (error < 1e-9 || error > 2 * best) break;
  }
  return best < Number.POSITIVE_INFINITY;
}

/** The whole derivative in one difference, for a parameter found to enter linearly; false when it does not. */
function straightLine(column: Column, step: number): boolean {
  const { theta, j, base, out, offset, scratch } = column;
  const { up, down } = scratch;
  if (!central({ column, h: step, out, offset })) return false;
  const own = Math.abs(theta[j]!);
  for (let i = 0; i < base.length; i++) {
    // The terms themselves may be far larger than the values they add up to.
    const size =
      Math.abs(up[i]!) + Math.abs(down[i]!) + Math.abs(base[i]!) + own * Math.abs(out[offset + i]!);
    if (Math.abs(up[i]! - 2 * base[i]! + down[i]!) > straightNoise * size) return false;
  }
  return true;
}

/** One column by a formula, given the parameter's typical size. */
function take(column: Column, accuracy: Accuracy, size: number): boolean {
  if (column.problem.straight[column.j] === 1) {
    const done = accuracy === "rough" ? forward(column, size / 4) : straightLine(column, size / 4);
    if (done) return true;
    column.problem.straight[column.j] = 0;
  }
  if (accuracy === "rough") return forward(column, steps.rough * size);
  if (
    accuracy === "middle" &&
    central({ column, h: steps.middle * size, out: column.out, offset: column.offset })
  )
    return true;
  return extrapolated(column, steps.fine * size);
}

/** One column by differences; a change so small that it moves the values by rounding alone is enlarged. */
function difference(column: Column, accuracy: Accuracy, valuesNorm: number): boolean {
  const { problem, theta, j, out, offset } = column;
  let size = typicalSize(problem, j, theta[j]!);
  for (let enlarged = 0; enlarged <= enlargements.most; enlarged++) {
    if (!take(column, accuracy, size)) return false;
    const length = norm(out, offset, offset + problem.rows);
    recordReach({ problem, j, length, valuesNorm });
    if (size >= 1 || steps[accuracy] * size * length > leastChange * valuesNorm) return true;
    size *= enlargements.factor;
  }
  return true;
}

/**
 * Derivatives of the weighted model values by the named parameters into `out`, one column each.
 *
 * @param base - weighted model values at theta
 * @returns false when a derivative is not finite
 */
export function jacobian({
  problem,
  theta,
  columns,
  base,
  out,
  accuracy,
}: {
  readonly problem: Problem;
  readonly theta: readonly number[];
  readonly columns: readonly number[];
  readonly base: Float64Array;
  readonly out: Float64Array;
  readonly accuracy: Accuracy;
}): boolean {
  if (problem.model.gradient !== undefined) return analyticSlopes({ problem, theta, columns, out });
  const { rows } = problem;
  const valuesNorm = norm(base, 0, rows);
  const point = [...theta];
  problem.scratch ??= makeScratch(rows);
  const { scratch } = problem;
  for (let k = 0; k < columns.length; k++) {
    const column = { problem, theta: point, j: columns[k]!, base, out, offset: k * rows, scratch };
    if (!difference(column, accuracy, valuesNorm)) return false;
  }
  return true;
}
