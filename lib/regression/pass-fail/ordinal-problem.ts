import { requireNumber, requireThat } from "../../errors/index.js";
import { tQuantile } from "../../numeric/distributions/index.js";
import type { OrdinalProblem } from "./ordinal-likelihood.js";

/** Graded coupons. */
export interface GradedObservations {
  /** One value per name, without an intercept: the thresholds stand for it. */
  readonly x: readonly (readonly number[])[];
  /** Grade of each row: a word of `grades`. */
  readonly grade: readonly string[];
  /** Coupons per row. Default: 1. */
  readonly counts?: readonly number[];
}

/** Normal beliefs about the effects; precision 0 for no opinion. */
export interface EffectPrior {
  readonly mean: readonly number[];
  readonly precision: readonly number[];
}

/** A problem in standardised columns, and the way back. */
export interface StandardisedProblem {
  readonly problem: OrdinalProblem;
  /** One row per parameter of the user, effects then thresholds: its coefficients by (theta, gamma). */
  readonly map: readonly Float64Array[];
}

/**
 * Centres and scales the columns. Back: beta = gamma / spread, threshold = theta + sum gamma centre / spread.
 *
 * @param used - the grades that occurred, in order
 * @throws {BeadbenchError} `bad-argument` for a column that never moves
 */
export function standardiseColumns({
  data,
  names,
  used,
  prior,
}: {
  readonly data: GradedObservations;
  readonly names: readonly string[];
  readonly used: readonly string[];
  readonly prior: EffectPrior | undefined;
}): StandardisedProblem {
  const rows = data.x.length;
  const p = names.length;
  const cuts = used.length - 1;
  const centres = new Float64Array(p);
  const spreads = new Float64Array(p);
  const z = new Float64Array(rows * p);
  for (let j = 0; j < p; j++) {
    for (const row of data.x) centres[j]! += row[j]! / rows;
    for (const row of data.x) spreads[j]! += (row[j]! - centres[j]!) ** 2 / rows;
    spreads[j] = Math.sqrt(spreads[j]!);
    requireThat(
      data.x.some((row) => row[j] !== data.x[0]![j]),
      `fitOrdinal: ${names[j]} never moves; leave it out (thresholds stand for an intercept)`,
    );
    for (let i = 0; i < rows; i++) z[i * p + j] = (data.x[i]![j]! - centres[j]!) / spreads[j]!;
  }
  const problem = {
    rows,
    columns: p,
    grades: used.length,
    z,
    grade: Int32Array.from(data.grade, (grade) => used.indexOf(grade)),
    count: data.counts === undefined ? new Float64Array(rows).fill(1) : Float64Array.from(data.counts),
    priorMean: Float64Array.from(names, (_, j) => (prior?.mean[j] ?? 0) * spreads[j]!),
    priorPrecision: Float64Array.from(names, (_, j) => (prior?.precision[j] ?? 0) / spreads[j]! ** 2),
  };
  const row = (entry: (place: number) => number): Float64Array =>
    Float64Array.from({ length: cuts + p }, (_, a) => entry(a));
  const map = [
    ...names.map((_, j) => row((a) => (a === cuts + j ? 1 / spreads[j]! : 0))),
    ...used
      .slice(1)
      .map((_, k) => row((a) => (a < cuts ? Number(a === k) : centres[a - cuts]! / spreads[a - cuts]!))),
  ];
  return { problem, map };
}

/** The t quantile of a level, with the coupons left over once thresholds, and effects without a prior, have had theirs. */
export function ordinalFactor({ problem }: StandardisedProblem, level: number): number {
  requireNumber("level", level, { above: 0, below: 1 });
  const { grades, count, priorPrecision } = problem;
  const free = grades - 1 + priorPrecision.filter((precision) => precision === 0).length;
  const coupons = count.reduce((sum, value) => sum + value, 0);
  return tQuantile(0.5 + level / 2, Math.max(1, coupons - free));
}
