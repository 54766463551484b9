import { dot, dotTile, TILE } from "./dot-tile.js";

/**
 * Cholesky factors A = L L' of symmetric positive definite matrices, held row by row in a Float64Array
 * of n x n numbers; only the lower triangle is read or written. Everything works in place: a caller
 * that owns its arrays allocates nothing in a loop.
 */

/** Products of one block; overwritten by every function here, read before the next call. */
const products = new Float64Array(TILE * TILE);

/** Factors the diagonal block that starts at `first`, its earlier columns already taken off. */
function factorBlock(a: Float64Array, n: number, first: number, size: number): boolean {
  for (let i = first; i < first + size; i++) {
    for (let j = first; j <= i; j++) {
      let value = a[i * n + j]!;
      for (let k = first; k < j; k++) value -= a[i * n + k]! * a[j * n + k]!;
      if (i !== j) a[i * n + j] = value / a[j * n + j]!;
      else if (value > 0 && value < Number.POSITIVE_INFINITY) a[i * n + i] = Math.sqrt(value);
      else return false;
    }
  }
  return true;
}

/**
 * Subtracts the products from `rows` rows of `size` numbers, the first at `start`, and solves each by the
 * diagonal block of L at `first`.
 */
function solveBlock(
  l: Float64Array,
  n: number,
  first: number,
  size: number,
  target: Float64Array,
  start: number,
  rows: number,
): void {
  const corner = first * n + first;
  if (size < TILE) {
    for (let r = 0; r < rows; r++) {
      const row = start + r * n;
      for (let c = 0; c < size; c++) {
        let value = target[row + c]! - products[r * TILE + c]!;
        for (let k = 0; k < c; k++) value -= l[corner + c * n + k]! * target[row + k]!;
        target[row + c] = value / l[corner + c * n + c]!;
      }
    }
    return;
  }
  const row1 = corner + n;
  const row2 = row1 + n;
  const row3 = row2 + n;
  const l10 = l[row1]!;
  const l20 = l[row2]!;
  const l21 = l[row2 + 1]!;
  const l30 = l[row3]!;
  const l31 = l[row3 + 1]!;
  const l32 = l[row3 + 2]!;
  const d0 = l[corner]!;
  const d1 = l[row1 + 1]!;
  const d2 = l[row2 + 2]!;
  const d3 = l[row3 + 3]!;
  for (let r = 0; r < rows; r++) {
    const row = start + r * n;
    const p = r * TILE;
    const v0 = (target[row]! - products[p]!) / d0;
    const v1 = (target[row + 1]! - products[p + 1]! - l10 * v0) / d1;
    const v2 = (target[row + 2]! - products[p + 2]! - l20 * v0 - l21 * v1) / d2;
    target[row] = v0;
    target[row + 1] = v1;
    target[row + 2] = v2;
    target[row + 3] = (target[row + 3]! - products[p + 3]! - l30 * v0 - l31 * v1 - l32 * v2) / d3;
  }
}

/**
 * Overwrites the lower triangle of `a` with L; the upper triangle stays as it was. Works by columns of
 * blocks.
 *
 * @param a - n x n, row by row
 * @returns false, with `a` half done, when the matrix is not positive definite to working precision
 */
export function choleskyInPlace(a: Float64Array, n: number): boolean {
  for (let first = 0; first < n; first += TILE) {
    const size = Math.min(TILE, n - first);
    dotTile(a, first * n, size, a, first * n, size, n, first, products);
    for (let r = 0; r < size; r++) {
      for (let c = 0; c <= r; c++) a[(first + r) * n + first + c]! -= products[r * TILE + c]!;
    }
    if (!factorBlock(a, n, first, size)) return false;
    for (let top = first + TILE; top < n; top += TILE) {
      const rows = Math.min(TILE, n - top);
      dotTile(a, top * n, rows, a, first * n, size, n, first, products);
      solveBlock(a, n, first, size, a, top * n + first, rows);
    }
  }
  return true;
}

/**
 * Factors a copy of `a` into `l`, adding to the diagonal only when it must: nothing, then 1e-14 of the
 * mean diagonal, ten times more at each further try, at most 1e-4 of it.
 *
 * @param a - n x n, row by row, lower triangle read, left as it is
 * @param l - n x n, receives the factor in its lower triangle
 * @returns the amount added to each diagonal entry; NaN when even the last try failed
 */
export function choleskyWithJitter(a: Float64Array, l: Float64Array, n: number): number {
  l.set(a);
  if (choleskyInPlace(l, n)) return 0;
  let trace = 0;
  for (let i = 0; i < n; i++) trace += a[i * n + i]!;
  for (let share = 1e-14; share < 2e-4; share *= 10) {
    const jitter = (share * trace) / n;
    l.set(a);
    for (let i = 0; i < n; i++) l[i * n + i]! += jitter;
    if (choleskyInPlace(l, n)) return jitter;
  }
  return Number.NaN;
}

/**
 * Overwrites b, n numbers, with L^-1 b; nothing is checked, and a zero on the diagonal gives infinities.
 *
 * @param l - lower factor, n x n row-major
 */
export function solveLower(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i++) b[i] = (b[i]! - dot(l, i * n, b, 0, i)) / l[i * n + i]!;
}

/**
 * Overwrites each of `count` right-hand sides, one to a row of n numbers, with L^-1 b; by blocks, more than
 * twice as fast as one by one.
 */
export function solveLowerRows(l: Float64Array, n: number, b: Float64Array, count: number): void {
  for (let first = 0; first < n; first += TILE) {
    const size = Math.min(TILE, n - first);
    for (let top = 0; top < count; top += TILE) {
      const rows = Math.min(TILE, count - top);
      dotTile(b, top * n, rows, l, first * n, size, n, first, products);
      solveBlock(l, n, first, size, b, top * n + first, rows);
    }
  }
}

/**
 * L^-1, a new n x n row-major matrix, 0 above the diagonal.
 *
 * @param l - lower factor, n x n row-major
 */
export function invertLower(l: Float64Array, n: number): Float64Array {
  const columns = new Float64Array(n * n);
  for (let i = 0; i < n; i++) columns[i * n + i] = 1;
  solveLowerRows(l, n, columns, n);
  const inverse = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) inverse[i * n + j] = columns[j * n + i]!;
  return inverse;
}

/**
 * Overwrites b, n numbers, with L'^-1 b; nothing is checked.
 *
 * @param l - lower factor, n x n row-major
 */
export function solveLowerTransposed(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = n - 1; i >= 0; i--) {
    const row = i * n;
    const value = b[i]! / l[row + i]!;
    b[i] = value;
    for (let j = 0; j < i; j++) b[j]! -= value * l[row + j]!;
  }
}

/**
 * Overwrites b, n numbers, with A^-1 b, given the factor of A = L L'.
 *
 * @param l - lower factor, n x n row-major
 */
export function choleskySolve(l: Float64Array, n: number, b: Float64Array): void {
  solveLower(l, n, b);
  solveLowerTransposed(l, n, b);
}

/**
 * ln |A|, given the factor of A = L L': twice the sum of the logarithms of its diagonal.
 *
 * @param l - lower factor, n x n row-major
 */
export function choleskyLogDeterminant(l: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += Math.log(l[i * n + i]!);
  return 2 * sum;
}

/**
 * Writes A^-1, both triangles, into `out`, given the factor of A: for covariances and traces, not for
 * solving.
 */
export function choleskyInverse(l: Float64Array, n: number, out: Float64Array): void {
  // Row i of `out` first holds column i of L^-1: out[i][k] = (L^-1)[k][i], 0 for k < i.
  out.fill(0);
  for (let i = 0; i < n; i++) out[i * n + i] = 1;
  for (let left = 0; left < n; left += TILE) {
    const rows = Math.min(TILE, n - left);
    for (let top = left; top < n; top += TILE) {
      const size = Math.min(TILE, n - top);
      dotTile(out, left * n + left, rows, l, top * n + left, size, n, top - left, products);
      solveBlock(l, n, top, size, out, left * n + top, rows);
    }
  }
  // A^-1[i][j] = sum over k >= j of out[i][k] out[j][k], j >= i: rising j leaves what is still needed.
  for (let top = 0; top < n; top += TILE) {
    const rows = Math.min(TILE, n - top);
    for (let left = top; left < n; left += TILE) {
      const columns = Math.min(TILE, n - left);
      dotTile(out, top * n + left, rows, out, left * n + left, columns, n, n - left, products);
      for (let r = 0; r < rows; r++) {
        for (let c = 0; c < columns; c++) {
          const value = products[r * TILE + c]!;
          out[(top + r) * n + left + c] = value;
          out[(left + c) * n + top + r] = value;
        }
      }
    }
  }
}
