import { dot } from "./dot-tile.js";

/**
 * Householder QR with column pivoting (Businger and Golub 1965) on flat, column-major arrays:
 * entry (i, j) of an n x p matrix is `a[j * n + i]`. Nothing here forms A'A, so accuracy follows the condition
 * number of A and not its square.
 *
 * @source G. H. Golub and C. F. Van Loan, Matrix Computations, 4th ed. 2013, sections 5.2 and 5.4
 */
export interface QrFactor {
  readonly rows: number;
  readonly columns: number;
  /** Householder vectors on and below the diagonal, R above it; column-major. */
  readonly values: Float64Array;
  /** Diagonal of R, largest magnitude first. */
  readonly diagonal: Float64Array;
  /** `pivots[k]` is the original column standing at place k. */
  readonly pivots: Int32Array;
  /** Columns that are independent to within the tolerance. */
  readonly rank: number;
}

export interface QrOptions {
  /** Relative to the largest diagonal entry of R. Default: max(n, p) times the machine precision. */
  readonly rankTolerance?: number;
}

/** Length of a stretch of a column; scaled only where squares would over- or underflow. */
function columnNorm(a: Float64Array, start: number, end: number): number {
  let sum = dot(a, start, a, start, end - start);
  if (sum > 1e-280 && sum < 1e280) return Math.sqrt(sum);
  let largest = 0;
  for (let i = start; i < end; i++) largest = Math.max(largest, Math.abs(a[i]!));
  if (largest === 0 || !Number.isFinite(largest)) return largest;
  sum = 0;
  for (let i = start; i < end; i++) sum += (a[i]! / largest) ** 2;
  return largest * Math.sqrt(sum);
}

/** Shorter columns count as zero: their entries have lost their digits. */
const smallest = 1e-290;

function swapColumns(a: Float64Array, rows: number, first: number, second: number): void {
  for (let i = 0; i < rows; i++) {
    const kept = a[first * rows + i]!;
    a[first * rows + i] = a[second * rows + i]!;
    a[second * rows + i] = kept;
  }
}

/** Applies the k-th reflection to the column that starts at `offset` of `target`. */
function reflect(values: Float64Array, rows: number, k: number, target: Float64Array, offset: number): void {
  const head = k * rows;
  const pivot = values[head + k]!;
  if (pivot === 0) return;
  const share = -dot(values, head + k, target, offset + k, rows - k) / pivot;
  for (let i = k; i < rows; i++) target[offset + i] = target[offset + i]! + share * values[head + i]!;
}

/** Lengths of what is left of each column, as kept up to date and as last computed; overwritten by every factoring. */
const lengths = { norms: new Float64Array(16), exact: new Float64Array(16) };

function lengthsFor(columns: number): typeof lengths {
  if (lengths.norms.length < columns) {
    lengths.norms = new Float64Array(2 * columns);
    lengths.exact = new Float64Array(2 * columns);
  }
  return lengths;
}

/**
 * Factors A P = Q R **in place**: `values` is overwritten. Pass a copy to keep the matrix.
 *
 * @param values - n x p matrix, column-major, length rows * columns
 */
export function factorQr({
  values,
  rows,
  columns,
  ...options
}: { readonly values: Float64Array; readonly rows: number; readonly columns: number } & QrOptions): QrFactor {
  const steps = Math.min(rows, columns);
  const diagonal = new Float64Array(steps);
  const pivots = new Int32Array(columns);
  const { norms, exact } = lengthsFor(columns);
  for (let j = 0; j < columns; j++) {
    pivots[j] = j;
    norms[j] = columnNorm(values, j * rows, (j + 1) * rows);
    exact[j] = norms[j]!;
  }
  for (let k = 0; k < steps; k++) {
    let best = k;
    for (let j = k + 1; j < columns; j++) if (norms[j]! > norms[best]!) best = j;
    if (best !== k) {
      swapColumns(values, rows, k, best);
      [pivots[k], pivots[best]] = [pivots[best]!, pivots[k]!];
      norms[best] = norms[k]!;
      exact[best] = exact[k]!;
    }
    const head = k * rows;
    const norm = columnNorm(values, head + k, head + rows);
    if (norm > smallest) {
      const signed = values[head + k]! < 0 ? -norm : norm;
      for (let i = k; i < rows; i++) values[head + i] = values[head + i]! / signed;
      values[head + k] = values[head + k]! + 1;
      diagonal[k] = -signed;
    }
    for (let j = k + 1; j < columns; j++) {
      reflect(values, rows, k, values, j * rows);
      const ratio = norms[j]! === 0 ? 0 : Math.abs(values[j * rows + k]!) / norms[j]!;
      const left = Math.max(0, (1 + ratio) * (1 - ratio));
      const drift = exact[j]! === 0 ? 0 : norms[j]! / exact[j]!;
      if (left * drift * drift <= 1.5e-8) {
        norms[j] = columnNorm(values, j * rows + k + 1, (j + 1) * rows);
        exact[j] = norms[j]!;
      } else norms[j] = norms[j]! * Math.sqrt(left);
    }
  }
  const tolerance = options.rankTolerance ?? Math.max(rows, columns) * Number.EPSILON;
  const limit = tolerance * Math.abs(diagonal[0] ?? 0);
  let rank = 0;
  while (rank < steps && Math.abs(diagonal[rank]!) > limit) rank++;
  return { rows, columns, values, diagonal, pivots, rank };
}

/**
 * Overwrites `y` with Q'y.
 *
 * @param y - as many numbers as the factor has rows, from `offset` of the array on
 */
export function applyQTransposed(factor: QrFactor, y: Float64Array, offset = 0): void {
  for (let k = 0; k < factor.diagonal.length; k++) reflect(factor.values, factor.rows, k, y, offset);
}

/**
 * Overwrites `y`, as many numbers as the factor has rows, with Q y.
 */
export function applyQ(factor: QrFactor, y: Float64Array): void {
  for (let k = factor.diagonal.length - 1; k >= 0; k--) reflect(factor.values, factor.rows, k, y, 0);
}

/**
 * Solves R z = c in place over the leading `rank` rows.
 *
 * @param c - `rank` numbers or more, in the pivoted order of columns: `pivots` tells which column each belongs to
 */
export function solveUpper(factor: QrFactor, c: Float64Array): void {
  const { values, diagonal, rows } = factor;
  for (let k = factor.rank - 1; k >= 0; k--) {
    c[k] = c[k]! / diagonal[k]!;
    for (let i = 0; i < k; i++) c[i] = c[i]! - c[k]! * values[k * rows + i]!;
  }
}

/**
 * Solves R' z = c in place over the leading `rank` rows.
 *
 * @param c - `rank` numbers or more, in the pivoted order of columns: `pivots` tells which column each belongs to
 */
export function solveUpperTransposed(factor: QrFactor, c: Float64Array): void {
  const { values, diagonal, rows } = factor;
  for (let k = 0; k < factor.rank; k++) {
    let sum = c[k]!;
    for (let i = 0; i < k; i++) sum -= values[k * rows + i]! * c[i]!;
    c[k] = sum / diagonal[k]!;
  }
}

/**
 * Least-squares solution of A x = y; dependent columns get 0 (basic solution).
 *
 * @param y - length n, kept
 * @returns x, length p, in the original order of columns
 */
export function solveLeastSquares(factor: QrFactor, y: Float64Array): Float64Array {
  const work = Float64Array.from(y);
  applyQTransposed(factor, work);
  solveUpper(factor, work);
  const x = new Float64Array(factor.columns);
  for (let k = 0; k < factor.rank; k++) x[factor.pivots[k]!] = work[k]!;
  return x;
}

/**
 * (A'A)^-1 from R alone, p x p, column-major, original order; rows and columns of dependent terms are 0.
 */
export function inverseGram(factor: QrFactor): Float64Array {
  const { rank, columns, pivots } = factor;
  const inverse = new Float64Array(rank * rank);
  const unit = new Float64Array(Math.max(rank, 1));
  for (let k = 0; k < rank; k++) {
    unit.fill(0);
    unit[k] = 1;
    solveUpper(factor, unit);
    inverse.set(unit.subarray(0, rank), k * rank);
  }
  const gram = new Float64Array(columns * columns);
  for (let i = 0; i < rank; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = i; k < rank; k++) sum += inverse[k * rank + i]! * inverse[k * rank + j]!;
      gram[pivots[i]! * columns + pivots[j]!] = sum;
      gram[pivots[j]! * columns + pivots[i]!] = sum;
    }
  }
  return gram;
}

/**
 * Diagonal of the hat matrix Q1 Q1', the leverage of each row: 0 to 1, their sum is the rank. A row near 1 is fitted
 * whatever its value is.
 *
 * @returns as many numbers as the factor has rows
 */
export function leverages(factor: QrFactor): Float64Array {
  const { rows, rank } = factor;
  const hat = new Float64Array(rows);
  const column = new Float64Array(rows);
  for (let k = 0; k < rank; k++) {
    column.fill(0);
    column[k] = 1;
    applyQ(factor, column);
    for (let i = 0; i < rows; i++) hat[i] = hat[i]! + column[i]! * column[i]!;
  }
  return hat;
}
