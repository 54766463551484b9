import { type RowFunctions, rowFunctionsOf } from "./row-functions.js";
import type { Model, Observations } from "./types.js";

/**
 * A weighted least-squares problem laid out for fast sweeps: everything is multiplied by the root weights, matrices are
 * column-major (entry (i, j) at `j * rows + i`), and nothing is allocated per row.
 */
export interface Problem {
  readonly model: Model;
  /** Values and derivatives of all rows in one call, where the model has them. */
  readonly whole: RowFunctions | undefined;
  readonly rows: number;
  readonly size: number;
  /** The places of all parameters, 0 to size - 1. */
  readonly places: readonly number[];
  readonly x: readonly (readonly number[])[];
  readonly root: Float64Array;
  /** Root weight times y. */
  readonly target: Float64Array;
  /** Length of `target`, the yardstick for rounding noise. */
  readonly targetNorm: number;
  /** Per parameter, the change that would move the fitted values by their own size; learnt as derivatives are taken. */
  readonly reach: Float64Array;
  /** Largest magnitude each parameter has had at a start or an accepted step. */
  readonly magnitude: Float64Array;
  /** 1 for a parameter found to enter linearly: its derivative is a single difference. */
  readonly straight: Uint8Array;
  /** Work arrays of the difference formulas, made when first wanted. */
  scratch: Scratch | undefined;
  /** Single model evaluations so far. */
  evaluations: number;
}

/** Work arrays, one value per row. */
export interface Scratch {
  readonly up: Float64Array;
  readonly down: Float64Array;
  readonly coarse: Float64Array;
  readonly middle: Float64Array;
  readonly finest: Float64Array;
}

export const makeScratch = (rows: number): Scratch => ({
  up: new Float64Array(rows),
  down: new Float64Array(rows),
  coarse: new Float64Array(rows),
  middle: new Float64Array(rows),
  finest: new Float64Array(rows),
});

export function makeProblem(observations: Observations, model: Model): Problem {
  const { x, y, weights } = observations;
  const root = new Float64Array(y.length).fill(1);
  if (weights !== undefined) for (let i = 0; i < y.length; i++) root[i] = Math.sqrt(weights[i]!);
  const target = new Float64Array(y.length);
  for (let i = 0; i < y.length; i++) target[i] = root[i]! * y[i]!;
  const size = model.parameters.length;
  return {
    model,
    whole: rowFunctionsOf(model),
    rows: y.length,
    size,
    places: model.parameters.map((_, j) => j),
    x,
    root,
    target,
    targetNorm: norm(target, 0, target.length),
    reach: new Float64Array(size).fill(Number.NaN),
    magnitude: new Float64Array(size),
    straight: new Uint8Array(size),
    scratch: undefined,
    evaluations: 0,
  };
}

/** Euclidean length of a stretch of an array. */
export function norm(a: Float64Array, start: number, end: number): number {
  let sum = 0;
  for (let i = start; i < end; i++) sum += a[i]! * a[i]!;
  return Math.sqrt(sum);
}

/** Weighted model values at theta into `out` from `offset`; false when any is not finite. */
export function sweep({
  problem,
  theta,
  out,
  offset = 0,
}: {
  readonly problem: Problem;
  readonly theta: readonly number[];
  readonly out: Float64Array;
  readonly offset?: number;
}): boolean {
  const { model, rows, x, root, whole } = problem;
  problem.evaluations += rows;
  let sum = 0;
  if (whole !== undefined) sum = whole.values(theta, x, root, out, offset);
  else {
    for (let i = 0; i < rows; i++) {
      const value = root[i]! * model.predict(theta, x[i]!);
      out[offset + i] = value;
      sum += value;
    }
  }
  if (Number.isFinite(sum)) return true;
  for (let i = 0; i < rows; i++) if (!Number.isFinite(out[offset + i]!)) return false;
  return true;
}
