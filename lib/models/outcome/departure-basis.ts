import { choleskyInPlace, solveLower, solveLowerTransposed } from "../../numeric/index.js";
import type { Priors } from "../priors/index.js";
import type { Coordinate } from "./coordinates.js";

/** Most places at which departures from the straight laws are carried. */
const MOST_ANCHORS = 32;
const SQRT5 = Math.sqrt(5);

/** The functions all models of a study are sums of: 1, each axis, and departures carried by anchors. */
export interface BasisShape {
  readonly axes: number;
  readonly inverseReach: readonly number[];
  /** Points at which departures are carried, each with one number per axis. */
  readonly anchors: readonly (readonly number[])[];
}

/** Correlation of a departure at two points `square` reaches squared apart: Matern with nu = 5/2. */
function correlation(square: number): number {
  const r = SQRT5 * Math.sqrt(square);
  return (1 + r + (r * r) / 3) * Math.exp(-r);
}

function squareDistance(a: ArrayLike<number>, from: number, b: ArrayLike<number>): number {
  let square = 0;
  for (let j = 0; j < b.length; j++) {
    const d = a[from + j]! - b[j]!;
    square += d * d;
  }
  return square;
}

/** Points in reaches along each axis. */
function inReaches(inverseReach: readonly number[], point: ArrayLike<number>): Float64Array {
  return Float64Array.from(inverseReach, (factor, j) => factor * point[j]!);
}

/**
 * Chooses anchors among the measured coupons: each time the one where the departure is least known from
 * those chosen (pivoted Cholesky), until nothing is left or there are enough.
 */
export function chooseBasis(
  coordinates: readonly Coordinate[],
  points: readonly Float64Array[],
  priors: Priors,
): BasisShape {
  const inverseReach = coordinates.map(({ kind }) => 1 / priors[`reach_${kind}`]);
  const scaled = points.map((point) => inReaches(inverseReach, point));
  const variance = points.map(() => 1);
  const rows: number[][] = points.map(() => []);
  const anchors: number[] = [];
  while (anchors.length < MOST_ANCHORS) {
    let pivot = -1;
    let most = 1e-3;
    variance.forEach((v, i) => {
      if (v > most) [pivot, most] = [i, v];
    });
    if (pivot < 0) break;
    anchors.push(pivot);
    const root = Math.sqrt(most);
    scaled.forEach((point, i) => {
      let value = correlation(squareDistance(point, 0, scaled[pivot]!));
      for (let k = 0; k < rows[i]!.length; k++) value -= rows[i]![k]! * rows[pivot]![k]!;
      rows[i]!.push(value / root);
    });
    points.forEach((_, i) => {
      variance[i]! -= rows[i]!.at(-1)! ** 2;
    });
  }
  return {
    axes: coordinates.length,
    inverseReach,
    anchors: anchors.map((i) => Array.from(points[i]!)),
  };
}

/** A point with the functions there. */
interface Evaluated {
  readonly point: ArrayLike<number>;
  readonly functions: ArrayLike<number>;
}

/** Makes the covariance of what the anchors leave open of a departure at two points, in units of its variance. */
export function openCorrelation({
  axes,
  inverseReach,
}: BasisShape): (one: Evaluated, other: Evaluated) => number {
  return (one, other) => {
    let square = 0;
    for (let j = 0; j < axes; j++) square += (inverseReach[j]! * (one.point[j]! - other.point[j]!)) ** 2;
    let open = correlation(square);
    for (let k = 1 + axes; k < one.functions.length; k++) open -= one.functions[k]! * other.functions[k]!;
    return open;
  };
}

/** Evaluates the basis. */
export interface DepartureBasis {
  /** 1 + axes + anchors. */
  readonly size: number;
  /** Writes the functions at a point; returns the share of a departure's variance the anchors leave open. */
  readonly evaluate: (point: ArrayLike<number>, into: Float64Array) => number;
  /**
   * Makes the gradient of a weighted sum of the functions, a number per axis, at the point of the last call
   * of `evaluate`.
   */
  readonly gradientOf: (weights: ArrayLike<number>) => (into: Float64Array) => void;
}

/** Makes a basis ready to evaluate. */
export function makeBasis(shape: BasisShape): DepartureBasis {
  const { axes, inverseReach } = shape;
  const scaled = shape.anchors.map((anchor) => inReaches(inverseReach, anchor));
  const count = scaled.length;
  const anchors = Float64Array.from(scaled.flatMap((anchor) => Array.from(anchor)));
  const lower = new Float64Array(count * count);
  scaled.forEach((anchor, i) => {
    for (let j = 0; j <= i; j++) {
      lower[i * count + j] = correlation(squareDistance(anchors, j * axes, anchor)) + (i === j ? 1e-8 : 0);
    }
  });
  choleskyInPlace(lower, count);
  const carried = new Float64Array(count);
  const first = 1 + axes;
  const here = new Float64Array(axes);
  // Slope of each anchor's correlation with half the squared distance.
  const fall = new Float64Array(count);
  return {
    size: first + count,
    evaluate(point, into) {
      into[0] = 1;
      for (let j = 0; j < axes; j++) {
        into[1 + j] = point[j]!;
        here[j] = point[j]! * inverseReach[j]!;
      }
      for (let k = 0; k < count; k++) {
        const r = SQRT5 * Math.sqrt(squareDistance(anchors, k * axes, here));
        const decay = Math.exp(-r);
        carried[k] = (1 + r + (r * r) / 3) * decay;
        fall[k] = (-5 / 3) * (1 + r) * decay;
      }
      solveLower(lower, count, carried);
      let open = 1;
      for (let k = 0; k < count; k++) {
        into[first + k] = carried[k]!;
        open -= carried[k]! * carried[k]!;
      }
      return Math.max(open, 0);
    },
    gradientOf(weights) {
      // Weight of each anchor's own correlation in the sum.
      const perAnchor = Float64Array.from({ length: count }, (_, k) => weights[first + k]!);
      solveLowerTransposed(lower, count, perAnchor);
      return (into) => {
        for (let j = 0; j < axes; j++) into[j] = 0;
        for (let k = 0; k < count; k++) {
          const slope = fall[k]! * perAnchor[k]!;
          for (let j = 0; j < axes; j++) into[j]! += slope * (here[j]! - anchors[k * axes + j]!);
        }
        for (let j = 0; j < axes; j++) into[j] = weights[1 + j]! + inverseReach[j]! * into[j]!;
      };
    },
  };
}
