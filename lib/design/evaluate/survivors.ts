import { mean, randomStream } from "../../numeric/index.js";
import { covarianceOf, type ModelMatrix } from "../model/index.js";
import type { ExpectedSurvivors } from "./evaluation.js";
import { meanVariance, type RegionRows } from "./prediction-variance.js";

/** Chances of each coupon in turn, under equally likely pictures of the rig. */
export type CouponWorlds = readonly ArrayLike<number>[];

/** Chances so small that a coupon's row would vanish in rounding are taken to be this. */
const LEAST_CHANCE = 1e-6;
const SIMULATED = 400;
const TENTH = 0.1;

/** Rows of coupons weighed by the root of their chance to give dimensions: squares then add up to the information expected. */
export function weighed(rows: readonly Float64Array[], lives: readonly number[]): readonly Float64Array[] {
  return rows.map((row, i) => {
    const weight = Math.sqrt(Math.max(lives[i]!, LEAST_CHANCE));
    return weight === 1 ? row : row.map((value) => weight * value);
  });
}

/**
 * Simulates which coupons survive, each picture of the rig taken for the truth in turn, so that coupons which share a danger
 * are lost together.
 *
 * @param worlds - of the new coupons first, then of those already run
 */
export function expectedSurvivors({
  worlds,
  fresh,
  matrix,
  region,
  sd,
  terms,
  seed,
}: {
  readonly worlds: CouponWorlds;
  /** How many of the coupons are new. */
  readonly fresh: number;
  /** Unweighed rows of all coupons, of the columns that all together can tell. */
  readonly matrix: ModelMatrix;
  readonly region: RegionRows;
  readonly sd: number;
  /** Columns of the whole model. */
  readonly terms: number;
  readonly seed: number;
}): ExpectedSurvivors {
  const stream = randomStream(seed).split("survivors");
  const counts: number[] = [];
  const errors: number[] = [];
  for (let turn = 0; turn < SIMULATED; turn++) {
    const lived = worlds.map((chances) => stream.uniform() < chances[turn % chances.length]!);
    counts.push(lived.slice(0, fresh).filter(Boolean).length);
    const left = <T>(items: readonly T[]): readonly T[] => items.filter((_, i) => lived[i]);
    const rows = left(matrix.rows);
    if (terms > matrix.rows[0]!.length || rows.length < terms) continue;
    const covariance = covarianceOf({ ...matrix, rows, plots: left(matrix.plots) });
    if (covariance !== undefined) errors.push(sd * Math.sqrt(meanVariance(region, covariance)));
  }
  const at = (values: number[], share: number): number =>
    values.sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))]!;
  const chances = worlds.slice(0, fresh).map((of) => mean(Array.from(of)));
  return {
    expected: chances.reduce((sum, chance) => sum + chance, 0),
    lower: at(counts, TENTH),
    upper: at(counts, 1 - TENTH),
    chances,
    allTerms: errors.length / SIMULATED,
    ...(errors.length === 0
      ? {}
      : { predictionError: { median: at(errors, 0.5), upper: at(errors, 1 - TENTH) } }),
  };
}
