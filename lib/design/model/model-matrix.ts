import { choleskyInPlace, choleskyInverse, choleskyLogDeterminant } from "../../numeric/index.js";
import { independentColumns } from "./independent-columns.js";
import { addOuter } from "./small-matrix.js";

/** Rows of a model matrix with the whole plot of each run. */
export interface ModelMatrix {
  /** One array of p numbers per run. */
  readonly rows: readonly Float64Array[];
  readonly plots: readonly number[];
  /** Variance shared within a whole plot over the variance of a run. */
  readonly varianceRatio: number;
}

/** (X' V^-1 X)^-1 row by row, and ln |X' V^-1 X|. */
export interface Covariance {
  readonly matrix: Float64Array;
  readonly logDeterminant: number;
}

/** Covariance of the estimates in units of the run variance; undefined when the columns are dependent. */
export function covarianceOf({ rows, plots, varianceRatio }: ModelMatrix): Covariance | undefined {
  const p = rows[0]?.length ?? 0;
  const total = new Float64Array(p * p);
  const sums = new Map<number, { readonly sum: Float64Array; count: number }>();
  for (const [i, row] of rows.entries()) {
    addOuter(total, p, row, 0, 1);
    const plot = sums.get(plots[i]!) ?? { sum: new Float64Array(p), count: 0 };
    for (let c = 0; c < p; c++) plot.sum[c]! += row[c]!;
    plot.count++;
    sums.set(plots[i]!, plot);
  }
  if (varianceRatio > 0) {
    for (const { sum, count } of sums.values()) {
      addOuter(total, p, sum, 0, -varianceRatio / (1 + count * varianceRatio));
    }
  }
  if (sortedColumns(rows).dependent.length > 0 || !choleskyInPlace(total, p)) return undefined;
  const matrix = new Float64Array(p * p);
  choleskyInverse(total, p, matrix);
  return { matrix, logDeterminant: choleskyLogDeterminant(total, p) };
}

/** The columns of the rows, sorted into independent and dependent ones. */
export function sortedColumns(rows: readonly Float64Array[]): ReturnType<typeof independentColumns> {
  const p = rows[0]?.length ?? 0;
  return independentColumns(Array.from({ length: p }, (_, c) => Float64Array.from(rows, (row) => row[c]!)));
}

/** The rows with only some of their columns. */
export function pickColumns(
  rows: readonly Float64Array[],
  columns: readonly number[],
): readonly Float64Array[] {
  return rows.map((row) => Float64Array.from(columns, (c) => row[c]!));
}

/** Coefficients of the kept columns in other columns, by least squares: one array per other column. */
export function expressedIn(
  kept: readonly Float64Array[],
  others: readonly Float64Array[],
): readonly Float64Array[] {
  const ordinary = covarianceOf({ rows: kept, plots: kept.map((_, i) => i), varianceRatio: 0 });
  const p = kept[0]?.length ?? 0;
  const width = others[0]?.length ?? 0;
  return Array.from({ length: width }, (_, c) => {
    const product = new Float64Array(p);
    for (const [i, row] of kept.entries()) {
      for (let k = 0; k < p; k++) product[k]! += row[k]! * others[i]![c]!;
    }
    const coefficients = new Float64Array(p);
    for (let k = 0; k < p; k++) {
      for (let m = 0; m < p; m++) coefficients[k]! += ordinary!.matrix[k * p + m]! * product[m]!;
    }
    return coefficients;
  });
}
