import { onlyDefined } from "../../errors/index.js";
import {
  factorQr,
  inverseGram,
  leverages,
  type QrFactor,
  refineLeastSquares,
} from "../../numeric/matrices/index.js";

/** Extra rows `weight_j (beta_j - centre_j) = 0` that pull coefficients towards a centre. */
export interface Penalty {
  readonly weights: Float64Array;
  readonly centres: Float64Array;
}

export interface PenalisedSolution {
  readonly coefficients: Float64Array;
  /** (X'WX + penalty)^-1, p x p. */
  readonly inverse: Float64Array;
  /** Weighted residuals of the data rows. */
  readonly residuals: Float64Array;
  readonly rss: number;
  readonly leverage: Float64Array;
  readonly factor: QrFactor;
  /** What each column was multiplied by before factoring. */
  readonly scales: Float64Array;
}

/** Power of two nearest the reciprocal of the column's length: scaling by it is exact. */
function columnScale(a: Float64Array, start: number, end: number): number {
  let sum = 0;
  for (let i = start; i < end; i++) sum += a[i]! * a[i]!;
  return sum === 0 ? 1 : 2 ** -Math.round(Math.log2(Math.sqrt(sum)));
}

/**
 * Least squares of y on X (both already multiplied by root weights), by refined pivoted QR of the columns
 * scaled to like length, with optional penalty rows below the data.
 */
export function solvePenalised({
  x,
  y,
  columns,
  penalty,
  rankTolerance,
}: {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly columns: number;
  readonly penalty: Penalty | undefined;
  readonly rankTolerance: number | undefined;
}): PenalisedSolution {
  const n = y.length;
  const rows = penalty === undefined ? n : n + columns;
  const scaled = new Float64Array(rows * columns);
  const target = new Float64Array(rows);
  target.set(y);
  const scales = new Float64Array(columns);
  for (let j = 0; j < columns; j++) {
    scaled.set(x.subarray(j * n, (j + 1) * n), j * rows);
    if (penalty !== undefined) {
      scaled[j * rows + n + j] = penalty.weights[j]!;
      target[n + j] = penalty.weights[j]! * penalty.centres[j]!;
    }
    const scale = columnScale(scaled, j * rows, (j + 1) * rows);
    scales[j] = scale;
    for (let i = 0; i < rows; i++) scaled[j * rows + i] = scaled[j * rows + i]! * scale;
  }
  const factor = factorQr({
    values: Float64Array.from(scaled),
    rows,
    columns,
    ...onlyDefined({ rankTolerance }),
  });
  const refined = refineLeastSquares({ matrix: scaled, factor, y: target });
  const residuals = refined.residuals.slice(0, n);
  let rss = 0;
  for (const value of residuals) rss += value * value;
  const inverse = inverseGram(factor);
  for (let i = 0; i < columns; i++) {
    for (let j = 0; j < columns; j++) {
      inverse[i * columns + j] = inverse[i * columns + j]! * scales[i]! * scales[j]!;
    }
  }
  return {
    coefficients: refined.x.map((value, j) => value * scales[j]!),
    inverse,
    residuals,
    rss,
    leverage: leverages(factor).slice(0, n),
    factor,
    scales,
  };
}
