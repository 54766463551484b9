import { requireThat } from "../errors/index.js";

/**
 * Cholesky factors A = L L' of symmetric positive definite matrices, held row by row in a Float64Array
 * of n x n numbers; only the lower triangle is read or written. Everything works in place: a caller
 * that owns its arrays allocates nothing in a loop.
 */

/** Dot product of a[i .. i + length) and b[j .. j + length), in four running sums. */
function dot(a: Float64Array, i: number, b: Float64Array, j: number, length: number): number {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let k = 0;
  for (; k + 3 < length; k += 4) {
    s0 += a[i + k]! * b[j + k]!;
    s1 += a[i + k + 1]! * b[j + k + 1]!;
    s2 += a[i + k + 2]! * b[j + k + 2]!;
    s3 += a[i + k + 3]! * b[j + k + 3]!;
  }
  for (; k < length; k++) s0 += a[i + k]! * b[j + k]!;
  return s0 + s1 + (s2 + s3);
}

/**
 * Overwrites the lower triangle of `a` with L; the upper triangle stays as it was.
 *
 * @param a - n x n, row by row
 * @returns false, with `a` half done, when the matrix is not positive definite to working precision
 */
export function choleskyInPlace(a: Float64Array, n: number): boolean {
  for (let i = 0; i < n; i++) {
    const rowI = i * n;
    for (let j = 0; j < i; j++) {
      const rowJ = j * n;
      a[rowI + j] = (a[rowI + j]! - dot(a, rowI, a, rowJ, j)) / a[rowJ + j]!;
    }
    const pivot = a[rowI + i]! - dot(a, rowI, a, rowI, i);
    if (!(pivot > 0 && pivot < Number.POSITIVE_INFINITY)) return false;
    a[rowI + i] = Math.sqrt(pivot);
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

/** Overwrites b with L^-1 b. */
export function solveLower(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i++) b[i] = (b[i]! - dot(l, i * n, b, 0, i)) / l[i * n + i]!;
}

/** Overwrites b with L'^-1 b. */
export function solveLowerTransposed(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = n - 1; i >= 0; i--) {
    const row = i * n;
    const value = b[i]! / l[row + i]!;
    b[i] = value;
    for (let j = 0; j < i; j++) b[j]! -= value * l[row + j]!;
  }
}

/** Overwrites b with A^-1 b, given the factor of A. */
export function choleskySolve(l: Float64Array, n: number, b: Float64Array): void {
  solveLower(l, n, b);
  solveLowerTransposed(l, n, b);
}

/** ln |A|, given the factor of A. */
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
  // Row i of `out` first holds column i of L^-1, from its diagonal on: out[i][k] = (L^-1)[k][i], k >= i.
  for (let i = 0; i < n; i++) {
    const row = i * n;
    out[row + i] = 1 / l[row + i]!;
    for (let k = i + 1; k < n; k++) {
      out[row + k] = -dot(l, k * n + i, out, row + i, k - i) / l[k * n + k]!;
    }
  }
  // A^-1[i][j] = sum over k >= max(i, j) of (L^-1)[k][i] (L^-1)[k][j]; j ascending leaves row i intact.
  for (let i = 0; i < n; i++) {
    for (let j = i; j < n; j++) {
      const value = dot(out, i * n + j, out, j * n + j, n - j);
      out[i * n + j] = value;
    }
    for (let j = 0; j < i; j++) out[i * n + j] = out[j * n + i]!;
  }
}

/** A factor L as its own array, from rows of numbers. */
export function choleskyOfRows(rows: readonly (readonly number[])[]): Float64Array {
  const n = rows.length;
  const l = new Float64Array(n * n);
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) l[i * n + j] = rows[i]![j]!;
  requireThat(choleskyInPlace(l, n), `Cholesky factor: the ${n} x ${n} matrix is not positive definite`);
  return l;
}
