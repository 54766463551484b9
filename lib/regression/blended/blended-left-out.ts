import { choleskyInPlace, choleskyInverse, choleskySolve } from "../../numeric/index.js";
import type { Fold } from "../common/index.js";
import type { BlendedFit } from "./blended.js";
import { BlendedLikelihood, type BlendedState } from "./blended-likelihood.js";

/** What the rows that stay foresee of a single row of a fold. */
export interface BlendedLeftOut {
  readonly mean: number;
  readonly sd: number;
}

/** One draw's word on a fold. */
interface Word extends BlendedLeftOut {
  readonly logWeight: number;
}

/**
 * Foresees the rows of folds from the rows that stay: in closed form under each draw of the variances, the draws weighed
 * by how likely they are without the rows left out, weights cut at the square root of their number times their mean.
 *
 * @param folds - each of whole settings, or whole blocks and settings
 * @returns one list per fold, in the order of its rows
 * @source importance weights for left-out data, cut off: E. L. Ionides, J. Comput. Graph. Statist. 17 (2008) 295-311;
 *   A. E. Gelfand, D. K. Dey and H. Chang, Bayesian Statistics 4 (1992) 147-167
 */
export function blendedLeftOut(
  fit: BlendedFit,
  folds: readonly Fold[],
): readonly (readonly BlendedLeftOut[])[] {
  const likelihood = new BlendedLikelihood(fit.rows);
  const { cells } = likelihood;
  const n = cells.count;
  const inverse = new Float64Array(n * n);
  const asked = folds.map(({ rows, without }) => ({
    gone: [...new Set(without.map((i) => cells.cellOf[i]!))],
    cells: [...new Set(rows.map((i) => cells.cellOf[i]!))],
  }));
  const words = asked.map((): (readonly Word[])[] => []);
  for (const draw of fit.draws) {
    const state = likelihood.evaluate(draw);
    if (state === undefined) continue;
    choleskyInverse(state.factor, n, inverse);
    asked.forEach(({ gone, cells: wanted }, k) => {
      words[k]!.push(without({ likelihood, state, inverse, gone, wanted }));
    });
  }
  return folds.map(({ rows }, k) => {
    const weights = cutWeights(words[k]!.map((list) => list[0]!.logWeight));
    return rows.map((i) => {
      const c = asked[k]!.cells.indexOf(cells.cellOf[i]!);
      const own = words[k]!.map((list) => list[c]!);
      const mean = own.reduce((sum, word, m) => sum + weights[m]! * word.mean, 0);
      const variance = own.reduce(
        (sum, word, m) => sum + weights[m]! * (word.sd ** 2 + (word.mean - mean) ** 2),
        0,
      );
      return { mean, sd: Math.sqrt(variance) };
    });
  });
}

function cutWeights(logs: readonly number[]): readonly number[] {
  const most = Math.max(...logs);
  const raw = logs.map((log) => Math.exp(log - most));
  const limit = (Math.sqrt(raw.length) * raw.reduce((sum, value) => sum + value, 0)) / raw.length;
  const cut = raw.map((value) => Math.min(value, limit));
  const total = cut.reduce((sum, value) => sum + value, 0);
  return cut.map((value) => value / total);
}

/**
 * With P the cells' precision, the constant taken out, and S the cells left out:
 *
 *     y_S - P_SS^-1 (P y)_S,   variance s^2 P_SS^-1
 */
function without({
  likelihood: { cells },
  state: { shares, alpha, ones, precision, rss, df },
  inverse,
  gone,
  wanted,
}: {
  readonly likelihood: BlendedLikelihood;
  readonly state: BlendedState;
  readonly inverse: Float64Array;
  readonly gone: readonly number[];
  readonly wanted: readonly number[];
}): readonly Word[] {
  const n = cells.count;
  const size = gone.length;
  const own = new Float64Array(size * size);
  gone.forEach((i, a) => {
    gone.forEach((k, b) => {
      own[a * size + b] = inverse[i * n + k]! - (ones[i]! * ones[k]!) / precision;
    });
  });
  choleskyInPlace(own, size);
  let logDeterminant = 0;
  for (let a = 0; a < size; a++) logDeterminant += 2 * Math.log(own[a * size + a]!);
  const covariance = new Float64Array(size * size);
  choleskyInverse(own, size, covariance);
  const pull = Float64Array.from(gone, (i) => alpha[i]!);
  choleskySolve(own, size, pull);
  const { common } = shares;
  let rest = rss;
  let rowsGone = 0;
  gone.forEach((i, a) => {
    rest -= alpha[i]! * pull[a]! + cells.within[i]! / (1 - common);
    rowsGone += cells.rows[i]!;
  });
  const left = Math.max(rest, rss * 1e-12);
  const dfLeft = df - rowsGone;
  const repeatsGone = rowsGone - size;
  const logWeight =
    -0.5 *
    (logDeterminant - repeatsGone * Math.log(1 - common) + dfLeft * Math.log(left) - df * Math.log(rss));
  const variance = left / Math.max(dfLeft, 1);
  return wanted.map((i) => {
    const a = gone.indexOf(i);
    // Of the cell's mean; a single row scatters about the cell by what repeats do not share.
    const single = covariance[a * size + a]! + (1 - common) * (1 - 1 / cells.weight[i]!);
    return { mean: cells.y[i]! - pull[a]!, sd: Math.sqrt(variance * Math.max(single, 0)), logWeight };
  });
}
