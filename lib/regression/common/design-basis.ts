import { applyQ, factorQr, solveUpper } from "../../numeric/matrices/index.js";
import { nameAliases } from "./alias.js";
import type { Alias } from "./types.js";

/**
 * Columns of a design in orthonormal coordinates: X beta = Q gamma with beta = B gamma. Likelihoods are
 * climbed in gamma, where the information is well conditioned however the user's columns are scaled.
 */
export interface DesignBasis {
  readonly rows: number;
  /** Columns of X. */
  readonly columns: number;
  readonly rank: number;
  /** Q, rows x rank, row by row. */
  readonly q: Float64Array;
  /** B, columns x rank, row by row; a row of zeros for a term that others already hold. */
  readonly toCoefficients: Float64Array;
  /** ln |R' R| over the kept columns: ln |X'WX| = ln |Q'WQ| + this. */
  readonly logGram: number;
  readonly aliased: readonly Alias[];
}

/**
 * Orthonormal coordinates of the rows `x`, from their column-scaled, column-pivoted QR.
 *
 * @param x - one row per observation, one value per name
 */
export function designBasis(x: readonly (readonly number[])[], names: readonly string[]): DesignBasis {
  const rows = x.length;
  const columns = names.length;
  const values = new Float64Array(rows * columns);
  const scales = new Float64Array(columns);
  for (let j = 0; j < columns; j++) {
    let sum = 0;
    for (let i = 0; i < rows; i++) sum += x[i]![j]! ** 2;
    scales[j] = sum > 0 ? 1 / Math.sqrt(sum) : 1;
    for (let i = 0; i < rows; i++) values[j * rows + i] = x[i]![j]! * scales[j]!;
  }
  const factor = factorQr({ values, rows, columns, rankTolerance: Math.max(rows, columns) * 4e-16 });
  const { rank, pivots, diagonal } = factor;
  const q = new Float64Array(rows * rank);
  const toCoefficients = new Float64Array(columns * rank);
  const column = new Float64Array(rows);
  const unit = new Float64Array(Math.max(rank, 1));
  let logGram = 0;
  for (let k = 0; k < rank; k++) {
    column.fill(0);
    column[k] = 1;
    applyQ(factor, column);
    for (let i = 0; i < rows; i++) q[i * rank + k] = column[i]!;
    unit.fill(0);
    unit[k] = 1;
    solveUpper(factor, unit);
    for (let j = 0; j < rank; j++) {
      toCoefficients[pivots[j]! * rank + k] = unit[j]! * scales[pivots[j]!]!;
    }
    logGram += 2 * Math.log(Math.abs(diagonal[k]!) / scales[pivots[k]!]!);
  }
  return { rows, columns, rank, q, toCoefficients, logGram, aliased: nameAliases(factor, names, scales) };
}

/** beta = B gamma. */
export function coefficientsOf(basis: DesignBasis, gamma: Float64Array): number[] {
  const { columns, rank, toCoefficients } = basis;
  return Array.from({ length: columns }, (_, j) => {
    let sum = 0;
    for (let k = 0; k < rank; k++) sum += toCoefficients[j * rank + k]! * gamma[k]!;
    return sum;
  });
}

/** B C B' for a covariance C of gamma, rank x rank, row by row. */
export function coefficientCovariance(basis: DesignBasis, covariance: Float64Array): number[][] {
  const { columns, rank, toCoefficients: b } = basis;
  const half = new Float64Array(columns * rank);
  for (let i = 0; i < columns; i++) {
    for (let k = 0; k < rank; k++) {
      let sum = 0;
      for (let m = 0; m < rank; m++) sum += b[i * rank + m]! * covariance[m * rank + k]!;
      half[i * rank + k] = sum;
    }
  }
  return Array.from({ length: columns }, (_, i) =>
    Array.from({ length: columns }, (_, j) => {
      let sum = 0;
      for (let k = 0; k < rank; k++) sum += half[i * rank + k]! * b[j * rank + k]!;
      return sum;
    }),
  );
}

/** B' c: the direction in gamma whose product with gamma is c . beta. */
export function directionOf(basis: DesignBasis, combination: readonly number[]): Float64Array {
  const { columns, rank, toCoefficients } = basis;
  const direction = new Float64Array(rank);
  for (let j = 0; j < columns; j++) {
    for (let k = 0; k < rank; k++) direction[k]! += combination[j]! * toCoefficients[j * rank + k]!;
  }
  return direction;
}
