import { requireThat } from "../../errors/index.js";
import { rounds, significant } from "../../numeric/figures/index.js";
import { factorQr, inverseGram, singularSystem } from "../../numeric/matrices/index.js";
import { describeCombination } from "./alias.js";

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
 * below about 10 harmless, above 30 the data can hardly tell some terms apart. Dependent columns give
 * Number.MAX_VALUE.
 *
 * @param rows - regressor rows, the intercept column included
 * @throws {BeadbenchError} `bad-argument` without a row or a column
 * @example conditionNumber([[1, 0], [1, 1], [1, 2]]) // => 2.8058837
 */
export function conditionNumber(rows: readonly (readonly number[])[], weights?: readonly number[]): number {
  const n = rows.length;
  const p = rows[0]?.length ?? 0;
  requireThat(n > 0 && p > 0, "conditionNumber needs at least one row and one column");
  const { values } = singularSystem(unitColumns(rows, weights), n, p);
  const smallest = n < p ? 0 : values[p - 1]!;
  return smallest <= values[0]! * Number.EPSILON ? Number.MAX_VALUE : values[0]! / smallest;
}

/**
 * Variance inflation factor of each term: how many times its variance exceeds that of a design in which it is
 * orthogonal to the rest. Columns are centred when a constant column is present, which itself gets 1.
 * Above 10 a coefficient says little on its own.
 *
 *     VIF_j = 1 / (1 - R_j^2)
 *
 * @source Belsley, Kuh and Welsch, Regression Diagnostics (1980), section 3.2
 * @example varianceInflation([[1, 0, 0], [1, 1, 2], [1, 2, 3]])[1] // => 28
 */
export function varianceInflation(rows: readonly (readonly number[])[]): number[] {
  const p = rows[0]?.length ?? 0;
  const isConstant = Array.from({ length: p }, (_, j) => rows.every((row) => row[j] === rows[0]![j]));
  const centred = isConstant.some(Boolean);
  const kept = isConstant.flatMap((constant, j) => (constant ? [] : [j]));
  const means = kept.map((j) => (centred ? rows.reduce((sum, row) => sum + row[j]!, 0) / rows.length : 0));
  const columns = unitColumns(
    rows.map((row) => kept.map((j, k) => row[j]! - means[k]!)),
    undefined,
  );
  const inverse = inverseGram(factorQr({ values: columns, rows: rows.length, columns: kept.length }));
  const factors = new Array<number>(p).fill(1);
  kept.forEach((j, k) => {
    const value = inverse[k * kept.length + k]!;
    factors[j] = value === 0 ? Number.MAX_VALUE : value;
  });
  return factors;
}

/** A direction in the parameters along which the data hardly speak. */
export interface WeakDirection {
  /** Ratio of the largest singular value to this one; above 30 is troublesome. */
  readonly conditionIndex: number;
  /** Share of each parameter in the direction, of columns scaled to unit length; largest magnitude 1. */
  readonly loadings: readonly number[];
  /** For example `b1 and b2 can hardly be told apart: ...`. */
  readonly sentence: string;
}

function weakSentence(names: readonly string[], loadings: readonly number[], index: number): string {
  const involved = names.filter((_, j) => Math.abs(loadings[j]!) > 0.1);
  const combination = describeCombination(
    loadings.map((value) => (Math.abs(value) > 0.1 ? rounds(value, 2) : 0)),
    names.map((name) => `(effect of ${name})`),
  );
  const subject =
    involved.length === 1
      ? `${involved[0]} hardly shows in the data`
      : `${involved.slice(0, -1).join(", ")} and ${involved.at(-1)} can hardly be told apart`;
  return `${subject}: ${combination} nearly cancels (condition index ${significant(index)})`;
}

/**
 * What the data cannot tell apart: near-null directions of the column-scaled derivatives, in words. Give the rows of a
 * linear fit, or for a nonlinear one the derivatives of {@link parameterSlopes}.
 *
 * @param limit - condition index from which a direction is reported. Default 30
 * @source Belsley, Kuh and Welsch (1980) section 3.2
 * @example weakDirections([[1, 100], [1, 101], [1, 102]], ["a", "b"]).length // => 1
 */
export function weakDirections(
  rows: readonly (readonly number[])[],
  names: readonly string[],
  limit = 30,
): WeakDirection[] {
  const p = names.length;
  const { values, right } = singularSystem(unitColumns(rows, undefined), rows.length, p);
  return Array.from(values)
    .map((value, k) => {
      const vector = Array.from(right.subarray(k * p, (k + 1) * p));
      const largest = vector.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a), 0);
      const loadings = vector.map((v) => v / largest);
      const conditionIndex = value <= values[0]! * Number.EPSILON ? Number.MAX_VALUE : values[0]! / value;
      return { conditionIndex, loadings, sentence: weakSentence(names, loadings, conditionIndex) };
    })
    .filter(({ conditionIndex }) => conditionIndex > limit)
    .sort((a, b) => b.conditionIndex - a.conditionIndex);
}
