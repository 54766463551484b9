import { randomStream } from "../../numeric/index.js";
import { twoLevelFactorial } from "../classical/index.js";
import type { Basis, Covariance } from "../model/index.js";
import { addOuter, dot, quadraticForm } from "../model/index.js";
import type { Region } from "../region/index.js";
import { type Point, pointFromCoded, spreadAllowedPoints } from "../region/index.js";
import type { PredictionEvaluation } from "./evaluation.js";

/** Model rows at points spread evenly over the allowed region, and at its allowed corners. */
export interface RegionRows {
  readonly spread: readonly Float64Array[];
  readonly corners: readonly Float64Array[];
  /** Mean of f f' over the spread points. */
  readonly moments: Float64Array;
}

const SPREAD_POINTS = 1024;
const MOST_CORNER_AXES = 10;
const SHARES = [0.1, 0.25, 0.5, 0.75, 0.9, 0.95] as const;

/** Samples the region; block offsets are averaged over. */
export function regionRows({
  region,
  allowed,
  basis,
  kept,
  seed,
}: {
  readonly region: Region;
  readonly allowed: Point;
  readonly basis: Basis;
  readonly kept: readonly number[];
  readonly seed: number;
}): RegionRows {
  const full = new Float64Array(basis.size);
  const rowOf = (point: Point): Float64Array => {
    basis.fill([...point.map((level, j) => region.axes[j]!.coded[level]!), -1], full);
    return Float64Array.from(kept, (column) => full[column]!);
  };
  const spread = spreadAllowedPoints({
    region,
    count: SPREAD_POINTS,
    start: allowed,
    seed,
    stream: randomStream(seed),
  }).map(rowOf);
  const corners =
    region.axes.length > MOST_CORNER_AXES
      ? []
      : twoLevelFactorial(region.axes.length)
          .map((row) =>
            pointFromCoded(
              region.axes,
              row.map((x, j) => (region.axes[j]!.category ? (x + 1) / 2 : x)),
            ),
          )
          .filter((point) => region.allows(point))
          .map(rowOf);
  const p = kept.length;
  const moments = new Float64Array(p * p);
  for (const row of spread) addOuter(moments, p, row, 0, 1 / spread.length);
  return { spread, corners, moments };
}

/** Mean prediction variance over the region, in units of the run variance. */
export function meanVariance({ moments }: RegionRows, covariance: Covariance): number {
  return dot(moments, covariance.matrix, moments.length);
}

/** Standard errors of predicted means over the region. */
export function evaluatePrediction(
  rows: RegionRows,
  covariance: Covariance,
  sd: number,
): PredictionEvaluation {
  const p = Math.sqrt(covariance.matrix.length);
  const errorAt = (row: Float64Array): number => sd * Math.sqrt(quadraticForm(covariance.matrix, p, row));
  const errors = rows.spread.map(errorAt).sort((a, b) => a - b);
  return {
    mean: sd * Math.sqrt(meanVariance(rows, covariance)),
    max: Math.max(...errors.slice(-1), ...rows.corners.map(errorAt)),
    shares: SHARES.map((share) => ({
      share,
      standardError: errors[Math.ceil(share * errors.length) - 1]!,
    })),
  };
}

/** D, A and G efficiency per coupon, in coded units. */
export function efficiencyOf({
  covariance,
  runs,
  prediction,
  sd,
}: {
  readonly covariance: Covariance;
  readonly runs: number;
  readonly prediction: PredictionEvaluation;
  readonly sd: number;
}): { readonly D: number; readonly A: number; readonly G: number } {
  const p = Math.sqrt(covariance.matrix.length);
  let trace = 0;
  for (let i = 0; i < p; i++) trace += covariance.matrix[i * p + i]!;
  return {
    D: Math.exp(covariance.logDeterminant / p) / runs,
    A: p / (runs * trace),
    G: p / (runs * (prediction.max / sd) ** 2),
  };
}
