import { solveLower } from "../../numeric/index.js";
import type { BlendedFit } from "./blended.js";
import type { BlendedPoint } from "./blended-data.js";
import { BlendedLikelihood, matern } from "./blended-likelihood.js";

/** What a blended surface says of one point, on the scale of its rows. */
export interface BlendedPrediction {
  readonly mean: number;
  /** Standard deviation of the surface there. */
  readonly sd: number;
  /** Of a single new row there, of a block to come. */
  readonly nextSd: number;
}

/**
 * Degrees of freedom to take t limits with: rows less one.
 */
export const blendedDf = ({ rows }: BlendedFit): number => rows.y.length - 1;

/**
 * Predicts points from a blended surface; variances add what the draws disagree on.
 *
 * @param points - columns as those of the rows
 */
export function predictBlended(
  fit: BlendedFit,
  points: readonly BlendedPoint[],
): readonly BlendedPrediction[] {
  const likelihood = new BlendedLikelihood(fit.rows);
  const n = likelihood.cells.count;
  const sums = points.map(() => ({ mean: 0, square: 0, surface: 0, next: 0 }));
  let used = 0;
  const cross = new Float64Array(n);
  for (const draw of fit.draws) {
    const state = likelihood.evaluate(draw);
    if (state === undefined) continue;
    used++;
    const { shares, coding, columns, constant, alpha, ones, precision, factor, rss, df } = state;
    const { straight, bent } = columns;
    const variance = rss / df;
    const perLength = shares.lengths.map((length) => 1 / length ** 2);
    points.forEach((coded, p) => {
      const point = coding === 0 ? coded : coded.otherwise!;
      let own = shares.departure;
      for (const value of point.straight) own += shares.straight * value * value;
      for (const value of point.bent) own += shares.bent * value * value;
      let mean = constant;
      let left = 1;
      for (let i = 0; i < n; i++) {
        let square = 0;
        let line = 0;
        for (let j = 0; j < perLength.length; j++) {
          square += (point.straight[j]! - straight[i]![j]!) ** 2 * perLength[j]!;
          line += point.straight[j]! * straight[i]![j]!;
        }
        let bend = 0;
        for (let j = 0; j < point.bent.length; j++) bend += point.bent[j]! * bent[i]![j]!;
        const value = shares.departure * matern(square) + shares.straight * line + shares.bent * bend;
        cross[i] = value;
        mean += value * alpha[i]!;
        left -= value * ones[i]!;
      }
      solveLower(factor, n, cross);
      let explained = 0;
      for (let i = 0; i < n; i++) explained += cross[i]! ** 2;
      const surface = variance * (Math.max(0, own - explained) + left ** 2 / precision);
      const sum = sums[p]!;
      sum.mean += mean;
      sum.square += mean * mean;
      sum.surface += surface;
      sum.next += surface + variance * (1 + shares.block);
    });
  }
  return sums.map(({ mean, square, surface, next }) => {
    const middle = mean / used;
    const between = Math.max(0, square / used - middle ** 2);
    return {
      mean: middle,
      sd: Math.sqrt(surface / used + between),
      nextSd: Math.sqrt(next / used + between),
    };
  });
}
