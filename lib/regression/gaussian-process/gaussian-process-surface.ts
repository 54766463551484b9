import {
  addSquaredLengths,
  choleskySolve,
  invertLower,
  multiplyRows,
  stackRows,
} from "../../numeric/index.js";
import type { HyperparameterAllowance } from "./gaussian-process-allowance.js";
import { fillMatern, fillMaternPulls } from "./gaussian-process-matern.js";
import type { RestoredProcess } from "./gaussian-process-restore.js";

/** Points per block, a multiple of the tile: the correlations of a block stay in the processor's cache. */
export const BLOCK = 64;
const SQRT5 = Math.sqrt(5);

/** Some of many points: `count` from `first` on, at most a block. */
interface Stretch {
  readonly points: Float64Array;
  readonly first: number;
  readonly count: number;
}

/** Writes mean (trend left out) and variance of a surface at a stretch of points. */
export type Surface = (stretch: Stretch, mean: Float64Array, variance: Float64Array) => void;

/**
 * Prepares the surface of one set of hyperparameters. What a point needs are products of its correlations r with a few
 * fixed matrices, done in tiles:
 *
 *     mean = constant + r . alpha,   variance = s^2 (1 - |L^-1 r|^2 + (1 - r . A^-1 1)^2 / (1' A^-1 1)) + g' C g
 *
 * g and C of the allowance, where there is one.
 */
export function makeSurface(
  { settings, theta, factor, alpha }: RestoredProcess,
  options: {
    readonly constant: number;
    /** s^2, unbiased. */
    readonly variance: number;
    /** No constant was estimated. */
    readonly hasTrend: boolean;
    readonly allowance: HyperparameterAllowance | undefined;
  },
): Surface {
  const { constant, variance: s2, hasTrend, allowance } = options;
  const { points: placed, dimensions: d, counts } = settings;
  const m = counts.length;
  const ones = new Float64Array(m).fill(hasTrend ? 0 : 1);
  choleskySolve(factor, m, ones);
  const constantPrecision = ones.reduce((sum, value) => sum + value, 0);
  const whole = invertLower(factor, m);
  const inverse = stackRows(
    Array.from({ length: m }, (_, i) => whole.subarray(i * m, (i + 1) * m)),
    m,
  );
  const lines = stackRows([alpha, ones, ...(allowance?.alphaSlopes ?? [])], m);
  const perPoint = lines.length / m;
  // Coordinates one after the other, in units in which the distance is the argument of the kernel.
  const scales = Float64Array.from({ length: d }, (_, k) => SQRT5 * Math.exp(-theta[k]!));
  const at = Array.from({ length: d }, (_, k) =>
    Float64Array.from({ length: m }, (__, i) => scales[k]! * placed[i * d + k]!),
  );
  const correlations = new Float64Array(BLOCK * m);
  const products = new Float64Array(BLOCK * perPoint);
  const squares = new Float64Array(m);
  /** A coordinate all settings share. */
  const nowhere = new Float64Array(m);
  const explained = new Float64Array(BLOCK);
  /** Slopes of the correlations by the squared distances, times alpha: only the allowance needs them. */
  const pulls = allowance === undefined ? undefined : new Float64Array(BLOCK * m);

  /** Squared distances of a point from the settings, two coordinates at a time. */
  const measure = (points: Float64Array, p: number): void => {
    for (let k = 0; k < d; k += 2) {
      const place = scales[k]! * points[p * d + k]!;
      const column = at[k]!;
      // An odd last coordinate has one that is the same everywhere for its other.
      const pair = k + 1 < d;
      const other = pair ? at[k + 1]! : nowhere;
      const otherPlace = pair ? scales[k + 1]! * points[p * d + k + 1]! : 0;
      if (k === 0) {
        for (let i = 0; i < m; i++) {
          const x = place - column[i]!;
          const y = otherPlace - other[i]!;
          squares[i] = x * x + y * y;
        }
      } else {
        for (let i = 0; i < m; i++) {
          const x = place - column[i]!;
          const y = otherPlace - other[i]!;
          squares[i]! += x * x + y * y;
        }
      }
    }
  };
  const allowanceOf =
    allowance === undefined || pulls === undefined ? undefined : allowances({ allowance, at, pulls, scales });

  return (stretch, mean, variance) => {
    const { points, first, count } = stretch;
    for (let b = 0; b < count; b++) {
      measure(points, first + b);
      fillMatern(squares, correlations, b * m);
      if (pulls !== undefined) fillMaternPulls({ squares, weights: alpha, out: pulls, offset: b * m });
    }
    multiplyRows(correlations, count, lines, m, products);
    explained.fill(0);
    addSquaredLengths(correlations, count, inverse, m, explained);
    const doubts = allowanceOf?.(stretch, products, perPoint);
    for (let b = 0; b < count; b++) {
      const row = b * perPoint;
      mean[b] = constant + products[row]!;
      const lost = hasTrend ? 0 : (1 - products[row + 1]!) ** 2 / constantPrecision;
      variance[b] = s2 * Math.max(0, 1 - explained[b]! + lost) + (doubts?.[b] ?? 0);
    }
  };
}

/**
 * The allowance g' C g at the points of a block. The part of g that comes from the correlations is a sum over settings of
 * pull times squared difference, (p - x)^2 = p^2 - 2 p x + x^2: three products with fixed rows.
 *
 * @param at - coordinates of the settings, one array per column
 * @param pulls - filled for the block before each call
 */
function allowances({
  allowance: { covariance, alphaSlopes, constantSlopes },
  at,
  pulls,
  scales,
}: {
  readonly allowance: HyperparameterAllowance;
  readonly at: readonly Float64Array[];
  readonly pulls: Float64Array;
  readonly scales: Float64Array;
}) {
  const d = at.length;
  const m = alphaSlopes[0]!.length;
  const moments = stackRows([new Float64Array(m).fill(1), ...at, ...at.map((x) => x.map((v) => v * v))], m);
  const perPoint = moments.length / m;
  const sums = new Float64Array(BLOCK * perPoint);
  const slopes = new Float64Array(d + 1);
  const out = new Float64Array(BLOCK);
  return ({ points, first, count }: Stretch, products: Float64Array, stride: number): Float64Array => {
    multiplyRows(pulls, count, moments, m, sums);
    for (let b = 0; b < count; b++) {
      const row = b * perPoint;
      for (let k = 0; k <= d; k++) slopes[k] = products[b * stride + 2 + k]! + constantSlopes[k]!;
      for (let k = 0; k < d; k++) {
        const p = scales[k]! * points[(first + b) * d + k]!;
        slopes[k]! += p * p * sums[row]! - 2 * p * sums[row + 1 + k]! + sums[row + 1 + d + k]!;
      }
      let sum = 0;
      for (let i = 0; i <= d; i++) {
        for (let j = 0; j <= d; j++) sum += slopes[i]! * covariance[i * (d + 1) + j]! * slopes[j]!;
      }
      out[b] = sum;
    }
    return out;
  };
}
