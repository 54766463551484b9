import { choleskyInPlace, solveLower } from "../../numeric/index.js";
import type { Coordinate } from "./coordinates.js";

/** Most places at which departures from the straight laws are carried. */
const MOST_ANCHORS = 32;
/** Reach of a departure along an axis: in logarithms for "log" axes, in half ranges for others. */
const REACH = { log: 0.9, linear: 1.5, level: 1.2 } as const;
const SQRT5 = Math.sqrt(5);

/** The functions all models of a study are sums of: 1, each axis, and departures carried by anchors. */
export interface BasisShape {
  readonly axes: number;
  readonly inverseReach: readonly number[];
  /** Points at which departures are carried, each with one number per axis. */
  readonly anchors: readonly (readonly number[])[];
}

/** Covariance of a departure at two points: Matern with nu = 5/2, unit variance. */
function correlation(inverseReach: ArrayLike<number>, a: ArrayLike<number>, b: ArrayLike<number>): number {
  let square = 0;
  for (let j = 0; j < inverseReach.length; j++) {
    const d = (a[j]! - b[j]!) * inverseReach[j]!;
    square += d * d;
  }
  const r = SQRT5 * Math.sqrt(square);
  return (1 + r + (r * r) / 3) * Math.exp(-r);
}

/**
 * Chooses anchors among the measured coupons: each time the one where the departure is least known from
 * those chosen (pivoted Cholesky), until nothing is left or there are enough.
 */
export function chooseBasis(coordinates: readonly Coordinate[], points: readonly Float64Array[]): BasisShape {
  const inverseReach = coordinates.map((axis) => 1 / REACH[axis.kind]);
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
    points.forEach((point, i) => {
      let value = correlation(inverseReach, point, points[pivot]!);
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

/** Evaluates the basis. */
export interface Basis {
  /** 1 + axes + anchors. */
  readonly size: number;
  /** Writes the functions at a point; returns the share of a departure's variance the anchors leave open. */
  readonly evaluate: (point: ArrayLike<number>, into: Float64Array) => number;
}

/** Makes a basis ready to evaluate. */
export function makeBasis(shape: BasisShape): Basis {
  const count = shape.anchors.length;
  const lower = new Float64Array(count * count);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j <= i; j++) {
      lower[i * count + j] =
        correlation(shape.inverseReach, shape.anchors[i]!, shape.anchors[j]!) + (i === j ? 1e-8 : 0);
    }
  }
  choleskyInPlace(lower, count);
  const carried = new Float64Array(count);
  const first = 1 + shape.axes;
  return {
    size: first + count,
    evaluate(point, into) {
      into[0] = 1;
      for (let j = 0; j < shape.axes; j++) into[1 + j] = point[j]!;
      for (let k = 0; k < count; k++) carried[k] = correlation(shape.inverseReach, shape.anchors[k]!, point);
      solveLower(lower, count, carried);
      let open = 1;
      for (let k = 0; k < count; k++) {
        into[first + k] = carried[k]!;
        open -= carried[k]! * carried[k]!;
      }
      return Math.max(open, 0);
    },
  };
}
