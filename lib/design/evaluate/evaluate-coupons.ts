import {
  type Covariance,
  covarianceOf,
  dot,
  type ModelMatrix,
  multiply,
  sortedColumns,
} from "../model/index.js";
import type { CouponEvaluation } from "./evaluation.js";
import { meanVariance, type RegionRows } from "./prediction-variance.js";

/** Leverage of each coupon, and what would be left if it were lost. */
export function evaluateCoupons({
  matrix,
  covariance,
  region,
  names,
  called = [],
}: {
  readonly matrix: ModelMatrix;
  readonly covariance: Covariance;
  readonly region: RegionRows;
  readonly names: readonly string[];
  /** What the coupons are called, where they have names. */
  readonly called?: readonly string[] | undefined;
}): readonly CouponEvaluation[] {
  const p = names.length;
  const { rows, plots, varianceRatio } = matrix;
  const weighted = rows.map((row, i) => {
    const mates = rows.filter((_, k) => plots[k] === plots[i]);
    const share = varianceRatio / (1 + mates.length * varianceRatio);
    return row.map((x, c) => x - share * mates.reduce((sum, mate) => sum + mate[c]!, 0));
  });
  const solved = new Float64Array(p);
  const variance = meanVariance(region, covariance);
  return rows.map((row, lost): CouponEvaluation => {
    multiply(covariance.matrix, p, weighted[lost]!, solved);
    const keep = <T>(items: readonly T[]): T[] => items.filter((_, i) => i !== lost);
    const rest: ModelMatrix = { ...matrix, rows: keep(rows), plots: keep(plots) };
    const left = covarianceOf(rest);
    return {
      number: lost + 1,
      name: called[lost] ?? String(lost + 1),
      leverage: dot(row, solved, p),
      informationWithout:
        left === undefined ? 0 : Math.exp((left.logDeterminant - covariance.logDeterminant) / p),
      ...(left === undefined ? {} : { predictionWithout: Math.sqrt(meanVariance(region, left) / variance) }),
      lostTerms: left === undefined ? sortedColumns(rest.rows).dependent.map((column) => names[column]!) : [],
    };
  });
}
