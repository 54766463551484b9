import { createRequire } from "node:module";

const load = createRequire(import.meta.url);

/** Singular values, largest first, and right singular vectors of a column-major matrix. */
export interface SingularSystem {
  /** One per column; 0 where there are fewer rows than columns. */
  readonly values: Float64Array;
  /** Column k (`right[k * columns + j]`) belongs to `values[k]`. */
  readonly right: Float64Array;
}

/**
 * Singular value decomposition by ml-matrix, the one file that loads it, when first asked: its instance methods `add` and
 * `mul` change the matrix they are called on, so nothing of it is passed on. The input is kept.
 */
export function singularSystem(matrix: Float64Array, rows: number, columns: number): SingularSystem {
  const { Matrix, SingularValueDecomposition } = load("ml-matrix") as typeof import("ml-matrix");
  // Rows of zeros leave values and right vectors alone and spare the case of more columns than rows.
  const height = Math.max(rows, columns);
  const a = Matrix.zeros(height, columns);
  for (let j = 0; j < columns; j++) for (let i = 0; i < rows; i++) a.set(i, j, matrix[j * rows + i]!);
  const svd = new SingularValueDecomposition(a, { computeLeftSingularVectors: false });
  const vectors = svd.rightSingularVectors;
  const right = new Float64Array(columns * columns);
  for (let k = 0; k < columns; k++)
    for (let j = 0; j < columns; j++) right[k * columns + j] = vectors.get(j, k);
  return { values: Float64Array.from(svd.diagonal), right };
}
