import { factorQr } from "./qr.js";

/** Singular values, largest first, and right singular vectors of a column-major matrix. */
export interface SingularSystem {
  readonly values: Float64Array;
  /** Column k (`right[k * columns + j]`) belongs to `values[k]`. */
  readonly right: Float64Array;
}

/** R of a tall matrix with its columns back in place: the same singular values and right vectors, fewer rows. */
function triangle(matrix: Float64Array, rows: number, columns: number): Float64Array {
  const { values, diagonal, pivots } = factorQr(Float64Array.from(matrix), rows, columns);
  const r = new Float64Array(columns * columns);
  for (let k = 0; k < columns; k++) {
    const column = pivots[k]! * columns;
    for (let i = 0; i < k; i++) r[column + i] = values[k * rows + i]!;
    r[column + k] = diagonal[k]!;
  }
  return r;
}

/**
 * Singular value decomposition by one-sided Jacobi rotations: slow for hundreds of columns, but small
 * singular values keep their relative accuracy. The input is kept.
 *
 * @source J. Demmel and K. Veselic, SIAM J. Matrix Anal. Appl. 13 (1992) 1204-1245
 */
export function singularSystem(matrix: Float64Array, rows: number, columns: number): SingularSystem {
  if (rows > columns) return singularSystem(triangle(matrix, rows, columns), columns, columns);
  const a = Float64Array.from(matrix);
  const v = new Float64Array(columns * columns);
  for (let j = 0; j < columns; j++) v[j * columns + j] = 1;
  const rotate = (m: Float64Array, length: number, p: number, q: number, c: number, s: number): void => {
    for (let i = 0; i < length; i++) {
      const left = m[p * length + i]!;
      const right = m[q * length + i]!;
      m[p * length + i] = c * left - s * right;
      m[q * length + i] = s * left + c * right;
    }
  };
  for (let sweep = 0, rotated = true; rotated && sweep < 60; sweep++) {
    rotated = false;
    for (let p = 0; p < columns - 1; p++) {
      for (let q = p + 1; q < columns; q++) {
        let pp = 0;
        let qq = 0;
        let pq = 0;
        for (let i = 0; i < rows; i++) {
          const left = a[p * rows + i]!;
          const right = a[q * rows + i]!;
          pp += left * left;
          qq += right * right;
          pq += left * right;
        }
        if (pq === 0 || Math.abs(pq) <= Number.EPSILON * Math.sqrt(pp * qq)) continue;
        rotated = true;
        const zeta = (qq - pp) / (2 * pq);
        const t = (zeta < 0 ? -1 : 1) / (Math.abs(zeta) + Math.sqrt(1 + zeta * zeta));
        const c = 1 / Math.sqrt(1 + t * t);
        rotate(a, rows, p, q, c, c * t);
        rotate(v, columns, p, q, c, c * t);
      }
    }
  }
  const lengths = Array.from({ length: columns }, (_, j) => {
    let sum = 0;
    for (let i = 0; i < rows; i++) sum += a[j * rows + i]! ** 2;
    return Math.sqrt(sum);
  });
  const order = lengths.map((_, j) => j).sort((i, j) => lengths[j]! - lengths[i]!);
  const right = new Float64Array(columns * columns);
  order.forEach((j, k) => {
    right.set(v.subarray(j * columns, (j + 1) * columns), k * columns);
  });
  return { values: Float64Array.from(order, (j) => lengths[j]!), right };
}
