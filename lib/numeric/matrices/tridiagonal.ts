/** A symmetric matrix A = Q T Q': T is tridiagonal, Q orthogonal. */
export interface Tridiagonal {
  readonly diagonal: Float64Array;
  /** Below the diagonal; one number fewer counts. */
  readonly below: Float64Array;
  /** Q'y of a vector y, at n^2 operations. */
  readonly turn: (y: Float64Array) => Float64Array;
}

/** Below it the square of a length is rounded to less than full digits. */
const SMALLEST_SQUARE = 2 ** -1022 / Number.EPSILON;

/**
 * Makes a symmetric matrix tridiagonal by Householder reflections: once turned, A + s I costs n operations for every s, where
 * a Cholesky factor costs n^3 / 3.
 *
 * @param a - n x n, row by row; its lower triangle is read, and kept for the reflections
 * @source G. H. Golub and C. F. Van Loan, Matrix Computations, 4th edition (2013), algorithm 8.3.1
 */
export function tridiagonal(a: Float64Array, n: number): Tridiagonal {
  const below = new Float64Array(n);
  const scales = new Float64Array(n);
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
    if (!(scale > 0)) continue;
    scales[k] = scale;
    reflect({ a, n, from: k + 1, v, w, scale });
  }
  // The vectors v lie below the diagonal, each in its column, but for their first number.
  const turn = (y: Float64Array): Float64Array => {
    const turned = y.slice();
    for (let k = 0; k < n - 1; k++) {
      const scale = scales[k]!;
      if (scale === 0) continue;
      const head = a[(k + 1) * n + k]! - below[k]!;
      let along = head * turned[k + 1]!;
      for (let i = k + 2; i < n; i++) along += a[i * n + k]! * turned[i]!;
      along /= scale;
      turned[k + 1]! -= along * head;
      for (let i = k + 2; i < n; i++) turned[i]! -= along * a[i * n + k]!;
    }
    return turned;
  };
  return { diagonal: Float64Array.from({ length: n }, (_, i) => a[i * n + i]!), below, turn };
}

/** Applies I - v v' / scale to both sides of the trailing part of A. */
function reflect({
  a,
  n,
  from,
  v,
  w,
  scale,
}: {
  readonly a: Float64Array;
  readonly n: number;
  readonly from: number;
  readonly v: Float64Array;
  /** Written over. */
  readonly w: Float64Array;
  readonly scale: number;
}): void {
  w.fill(0, from);
  for (let i = from; i < n; i++) {
    let sum = a[i * n + i]! * v[i]!;
    for (let j = from; j < i; j++) {
      sum += a[i * n + j]! * v[j]!;
      w[j]! += a[i * n + j]! * v[i]!;
    }
    w[i]! += sum;
  }
  let product = 0;
  for (let i = from; i < n; i++) product += v[i]! * w[i]!;
  const half = product / (2 * scale);
  for (let i = from; i < n; i++) {
    w[i] = (w[i]! - half * v[i]!) / scale;
    for (let j = from; j <= i; j++) a[i * n + j]! -= v[i]! * w[j]! + w[i]! * v[j]!;
  }
}

/** A + s I of a matrix that was made tridiagonal, ready for vectors that were turned as it was. */
export interface Shifted {
  /** ln |A + s I|; Infinity where it is not positive definite to working precision. */
  readonly logDeterminant: number;
  /** A vector h for each turned Q'y, so that h(y) . h(z) = y' (A + s I)^-1 z. */
  readonly half: (turned: Float64Array) => Float64Array;
}

/** Factors A + s I at n operations; its vectors cost as many each. */
export function shifted({ diagonal, below }: Pick<Tridiagonal, "diagonal" | "below">, s: number): Shifted {
  const n = diagonal.length;
  const ratios = new Float64Array(n);
  const roots = new Float64Array(n);
  let [pivot, logDeterminant] = [0, 0];
  for (let i = 0; i < n; i++) {
    ratios[i] = i === 0 ? 0 : below[i - 1]! / pivot;
    pivot = diagonal[i]! + s - (i === 0 ? 0 : ratios[i]! * below[i - 1]!);
    roots[i] = Math.sqrt(pivot);
    logDeterminant += pivot > 0 ? Math.log(pivot) : Number.POSITIVE_INFINITY;
  }
  const half = (turned: Float64Array): Float64Array => {
    const result = new Float64Array(n);
    let solved = 0;
    for (let i = 0; i < n; i++) {
      solved = turned[i]! - ratios[i]! * solved;
      result[i] = solved / roots[i]!;
    }
    return result;
  };
  return { logDeterminant, half };
}
