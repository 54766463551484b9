import { dot } from "../../numeric/matrices/index.js";

/** What is left of a kernel of ones on its diagonal where its columns may stop: next to nothing beside any scatter. */
const LEFT = 1e-12;

/**
 * Columns c with K = sum of c c', by Cholesky's factor with pivots: smooth kernels of many rows need few. Undefined where
 * they need more than `most`.
 *
 * @param entry - K, positive semidefinite, place by place
 * @source Harbrecht, Peters and Schneider, Appl. Numer. Math. 62 (2012) 428 (pivoted Cholesky), from memory
 */
export function kernelColumns(
  n: number,
  entry: (i: number, j: number) => number,
  most: number,
): readonly Float64Array[] | undefined {
  const left = Float64Array.from({ length: n }, (_, i) => entry(i, i));
  const columns: Float64Array[] = [];
  for (;;) {
    const pivot = left.reduce((best, value, i) => (value > left[best]! ? i : best), 0);
    const value = left[pivot]!;
    if (value <= LEFT) return columns;
    if (columns.length >= most) return undefined;
    const column = Float64Array.from({ length: n }, (_, i) => entry(i, pivot));
    for (const earlier of columns) addTimes(column, -earlier[pivot]!, earlier);
    const root = Math.sqrt(value);
    for (let i = 0; i < n; i++) {
      column[i] = column[i]! / root;
      left[i] = left[i]! - column[i]! ** 2;
    }
    left[pivot] = 0;
    columns.push(column);
  }
}

/** Columns in terms of orthonormal vectors. */
export interface Spanned {
  readonly basis: readonly Float64Array[];
  /** For each column: its parts along the basis, as many as the basis had then. */
  readonly parts: readonly Float64Array[];
}

/** Share of a column's length below which what the vectors before leave of it is rounding. */
const ROUNDING = 1e-13;

/**
 * Orthonormal vectors that span columns, by Gram and Schmidt, twice each, which is enough.
 *
 * @source Giraud, Langou and Rozloznik, Comput. Math. Appl. 50 (2005) 1069 ("twice is enough"), from memory
 */
export function spanned(columns: readonly Float64Array[]): Spanned {
  const basis: Float64Array[] = [];
  const parts = columns.map((column) => {
    const n = column.length;
    const rest = column.slice();
    const along = new Float64Array(basis.length + 1);
    const whole = Math.sqrt(dot(rest, 0, rest, 0, n));
    for (let round = 0; round < 2; round++) {
      basis.forEach((vector, k) => {
        const part = dot(vector, 0, rest, 0, n);
        along[k]! += part;
        addTimes(rest, -part, vector);
      });
    }
    const length = Math.sqrt(dot(rest, 0, rest, 0, n));
    if (!(length > ROUNDING * whole)) return along.subarray(0, basis.length);
    along[basis.length] = length;
    basis.push(rest.map((value) => value / length));
    return along;
  });
  return { basis, parts };
}

function addTimes(sum: Float64Array, factor: number, values: Float64Array): void {
  for (let i = 0; i < sum.length; i++) sum[i] = sum[i]! + factor * values[i]!;
}
