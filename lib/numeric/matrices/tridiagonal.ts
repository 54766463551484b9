/** A symmetric matrix A = Q T Q' beside a vector y: T is tridiagonal, Q orthogonal. */
export interface Tridiagonal {
  readonly diagonal: Float64Array;
  /** Below the diagonal; one number fewer counts. */
  readonly below: Float64Array;
  /** Q'y. */
  readonly turned: Float64Array;
}

/** Below it the square of a length is rounded to less than full digits. */
const SMALLEST_SQUARE = 2 ** -1022 / Number.EPSILON;

/**
 * Turns a symmetric matrix and a vector so that the matrix is tridiagonal, by Householder reflections: once turned,
 * A + s I costs n operations for every s, where a Cholesky factor costs n^3 / 3.
 *
 * @param a - n x n, row by row; its lower triangle is read and overwritten
 * @param y - n numbers, left as they are
 * @source G. H. Golub and C. F. Van Loan, Matrix Computations, 4th edition (2013), algorithm 8.3.1
 */
export function tridiagonal(a: Float64Array, n: number, y: Float64Array): Tridiagonal {
  const turned = y.slice();
  const below = new Float64Array(n);
  const v = new Float64Array(n);
  const w = new Float64Array(n);
  for (let k = 0; k < n - 1; k++) {
    let square = 0;
    for (let i = k + 1; i < n; i++) {
      v[i] = a[i * n + k]!;
      square += v[i]! ** 2;
    }
    // A column whose square has lost its digits is nothing beside any other: turned by it, the rest would lose theirs.
    if (square < SMALLEST_SQUARE) continue;
    const first = v[k + 1]!;
    const length = first > 0 ? -Math.sqrt(square) : Math.sqrt(square);
    below[k] = length;
    v[k + 1] = first - length;
    const scale = length * (length - first);
    if (scale > 0) reflect({ a, n, from: k + 1, v, w, turned, scale });
  }
  return { diagonal: Float64Array.from(y, (_, i) => a[i * n + i]!), below, turned };
}

/** Applies I - v v' / scale to both sides of the trailing part of A, and to y. */
function reflect({
  a,
  n,
  from,
  v,
  w,
  turned,
  scale,
}: {
  readonly a: Float64Array;
  readonly n: number;
  readonly from: number;
  readonly v: Float64Array;
  /** Written over. */
  readonly w: Float64Array;
  readonly turned: Float64Array;
  readonly scale: number;
}): void {
  w.fill(0, from);
  let along = 0;
  for (let i = from; i < n; i++) {
    let sum = a[i * n + i]! * v[i]!;
    for (let j = from; j < i; j++) {
      sum += a[i * n + j]! * v[j]!;
      w[j]! += a[i * n + j]! * v[i]!;
    }
    w[i]! += sum;
    along += v[i]! * turned[i]!;
  }
  let product = 0;
  for (let i = from; i < n; i++) product += v[i]! * w[i]!;
  const half = product / (2 * scale);
  for (let i = from; i < n; i++) {
    w[i] = (w[i]! - half * v[i]!) / scale;
    turned[i]! -= (along / scale) * v[i]!;
    for (let j = from; j <= i; j++) a[i * n + j]! -= v[i]! * w[j]! + w[i]! * v[j]!;
  }
}

/**
 * ln |A + s I| + y' (A + s I)^-1 y, for the matrix and the vector that were turned; Infinity where A + s I is not positive
 * definite to working precision. Twice the negative logarithm of a normal density, but for its constant.
 */
export function shiftedDeviance({ diagonal, below, turned }: Tridiagonal, s: number): number {
  let pivot = 0;
  let solved = 0;
  let sum = 0;
  for (let i = 0; i < diagonal.length; i++) {
    const ratio = i === 0 ? 0 : below[i - 1]! / pivot;
    pivot = diagonal[i]! + s - (i === 0 ? 0 : ratio * below[i - 1]!);
    if (!(pivot > 0)) return Number.POSITIVE_INFINITY;
    solved = turned[i]! - ratio * solved;
    sum += Math.log(pivot) + (solved * solved) / pivot;
  }
  return sum;
}
