import { requireThat } from "../errors/index.js";
import { singularSystem } from "../numeric/index.js";

/** Columns of a row-wise matrix, each divided by its length; a zero column stays zero. */
function unitColumns(
  rows: readonly (readonly number[])[],
  weights: readonly number[] | undefined,
): Float64Array {
  const n = rows.length;
  const p = rows[0]?.length ?? 0;
  const a = new Float64Array(n * p);
  for (let j = 0; j < p; j++) {
    let sum = 0;
    for (let i = 0; i < n; i++) {
      const value = rows[i]![j]! * Math.sqrt(weights?.[i] ?? 1);
      a[j * n + i] = value;
      sum += value * value;
    }
    const length = Math.sqrt(sum);
    if (length > 0) for (let i = 0; i < n; i++) a[j * n + i] = a[j * n + i]! / length;
  }
  return a;
}

/**
 * Condition number of the regressors after scaling each column to unit length (Belsley, Kuh and Welsch 1980):
 * below about 10 harmless, above 30 the data can hardly tell some terms apart. Infinity for dependent columns.
 *
 * @param rows - regressor rows, the intercept column included
 */
export function conditionNumber(rows: readonly (readonly number[])[], weights?: readonly number[]): number {
  const n = rows.length;
  const p = rows[0]?.length ?? 0;
  requireThat(n > 0 && p > 0, "conditionNumber needs at least one row and one column");
  const { values } = singularSystem(unitColumns(rows, weights), n, p);
  const smallest = n < p ? 0 : values[p - 1]!;
  return smallest <= values[0]! * Number.EPSILON ? Number.POSITIVE_INFINITY : values[0]! / smallest;
}
