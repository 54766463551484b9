import {
  applyQ,
  applyQTransposed,
  type QrFactor,
  solveLeastSquares,
  solveUpper,
  solveUpperTransposed,
} from "./qr.js";

const SPLITTER = 134217729;

/** Running sum of products held in twice the working precision (Dekker 1971, Ogita, Rump and Oishi 2005). */
class LongSum {
  private high = 0;
  private low = 0;

  reset(start: number): void {
    this.high = start;
    this.low = 0;
  }

  addProduct(a: number, b: number): void {
    const product = a * b;
    const aWide = SPLITTER * a;
    const aHigh = aWide - (aWide - a);
    const aLow = a - aHigh;
    const bWide = SPLITTER * b;
    const bHigh = bWide - (bWide - b);
    const bLow = b - bHigh;
    const error = aLow * bLow - (product - aHigh * bHigh - aLow * bHigh - aHigh * bLow);
    const sum = this.high + product;
    const back = sum - this.high;
    this.low += this.high - (sum - back) + (product - back) + error;
    this.high = sum;
  }

  value(): number {
    return this.high + this.low;
  }
}

export interface RefinedSolution {
  readonly x: Float64Array;
  /** y - A x, to full precision. */
  readonly residuals: Float64Array;
  /** Refinement steps done. */
  readonly steps: number;
}

/**
 * Least squares with iterative refinement of the augmented system [I A; A' 0] [r; x] = [y; 0], residuals in
 * twice the working precision: gains the digits that a large condition number costs, as long as
 * condition x machine precision stays below one.
 *
 * @source A. Bjorck, Iterative refinement of linear least squares solutions I, BIT 7 (1967) 257-278
 */
export function refineLeastSquares({
  matrix,
  factor,
  y,
  maxSteps = 12,
}: {
  /** The matrix that was factored (column-major), untouched. */
  readonly matrix: Float64Array;
  readonly factor: QrFactor;
  readonly y: Float64Array;
  readonly maxSteps?: number;
}): RefinedSolution {
  const { rows, rank, pivots, columns } = factor;
  const x = solveLeastSquares(factor, y);
  const residuals = new Float64Array(rows);
  const first = new Float64Array(rows);
  const second = new Float64Array(Math.max(rows, columns));
  const sum = new LongSum();
  for (let i = 0; i < rows; i++) {
    sum.reset(y[i]!);
    for (let j = 0; j < columns; j++) if (x[j] !== 0) sum.addProduct(-x[j]!, matrix[j * rows + i]!);
    residuals[i] = sum.value();
  }
  let previous = Number.POSITIVE_INFINITY;
  let steps = 0;
  for (; steps < maxSteps; steps++) {
    for (let i = 0; i < rows; i++) {
      sum.reset(y[i]!);
      sum.addProduct(-1, residuals[i]!);
      for (let j = 0; j < columns; j++) if (x[j] !== 0) sum.addProduct(-x[j]!, matrix[j * rows + i]!);
      first[i] = sum.value();
    }
    for (let k = 0; k < rank; k++) {
      sum.reset(0);
      const head = pivots[k]! * rows;
      for (let i = 0; i < rows; i++) sum.addProduct(-matrix[head + i]!, residuals[i]!);
      second[k] = sum.value();
    }
    solveUpperTransposed(factor, second);
    applyQTransposed(factor, first);
    const change = Float64Array.from(first);
    for (let k = 0; k < rank; k++) {
      change[k] = first[k]! - second[k]!;
      first[k] = second[k]!;
    }
    solveUpper(factor, change);
    applyQ(factor, first);
    let size = 0;
    for (let k = 0; k < rank; k++) {
      const j = pivots[k]!;
      size = Math.max(size, Math.abs(change[k]!) / Math.max(Math.abs(x[j]!), Number.MIN_VALUE));
    }
    if (!(size < previous)) break;
    previous = size;
    for (let k = 0; k < rank; k++) x[pivots[k]!] = x[pivots[k]!]! + change[k]!;
    for (let i = 0; i < rows; i++) residuals[i] = residuals[i]! + first[i]!;
    if (size < 2 * Number.EPSILON) break;
  }
  return { x, residuals, steps };
}
