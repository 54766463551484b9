import { factorQr, solveLeastSquares } from "./qr.js";

export interface NonnegativeSolution {
  readonly x: Float64Array;
  /** y - A x. */
  readonly residuals: Float64Array;
  readonly residualNorm: number;
}

/**
 * Least squares with all coefficients >= 0, by the active-set method of Lawson and Hanson.
 *
 * @source C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), chapter 23
 */
export function solveNonnegative({
  matrix,
  rows,
  columns,
  y,
}: {
  /** n x p, column-major, kept. */
  readonly matrix: Float64Array;
  readonly rows: number;
  readonly columns: number;
  readonly y: Float64Array;
}): NonnegativeSolution {
  const x = new Float64Array(columns);
  const residuals = Float64Array.from(y);
  const active: number[] = [];
  let scale = 0;
  for (const value of y) scale = Math.max(scale, Math.abs(value));
  const slack = 1e-12 * scale * Math.sqrt(rows);

  const gradient = (j: number): number => {
    let sum = 0;
    let size = 0;
    for (let i = 0; i < rows; i++) {
      const value = matrix[j * rows + i]!;
      sum += value * residuals[i]!;
      size += value * value;
    }
    return size === 0 ? 0 : sum / Math.sqrt(size);
  };
  const solveActive = (): Float64Array => {
    const part = new Float64Array(rows * active.length);
    active.forEach((j, k) => {
      part.set(matrix.subarray(j * rows, (j + 1) * rows), k * rows);
    });
    return solveLeastSquares(factorQr({ values: part, rows, columns: active.length }), y);
  };

  for (let round = 0; round < 3 * columns + 10; round++) {
    let entering = -1;
    let steepest = slack;
    for (let j = 0; j < columns; j++) {
      if (active.includes(j)) continue;
      const slope = gradient(j);
      if (slope > steepest) {
        steepest = slope;
        entering = j;
      }
    }
    if (entering < 0) break;
    active.push(entering);
    // Every pass but the last takes a column out.
    while (active.length > 0) {
      const wanted = solveActive();
      let share = 1;
      let leaving = -1;
      active.forEach((j, k) => {
        if (wanted[k]! > 0) return;
        const reach = x[j] === 0 ? 0 : x[j]! / (x[j]! - wanted[k]!);
        if (reach < share) {
          share = reach;
          leaving = k;
        }
      });
      active.forEach((j, k) => {
        x[j] = x[j]! + share * (wanted[k]! - x[j]!);
      });
      if (leaving < 0) break;
      x[active[leaving]!] = 0;
      active.splice(leaving, 1);
    }
    residuals.set(y);
    for (const j of active) {
      for (let i = 0; i < rows; i++) residuals[i] = residuals[i]! - x[j]! * matrix[j * rows + i]!;
    }
  }
  let sum = 0;
  for (const value of residuals) sum += value * value;
  return { x, residuals, residualNorm: Math.sqrt(sum) };
}
