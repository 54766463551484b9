import { type ConvergedFit, fitLinear, type LinearFit } from "../../regression/index.js";
import { halfHeightAt, type SectionShape } from "./outline.js";
import { searchSimplex } from "./simplex.js";

/** A bead of two halves on a base that may still be a little off. */
export interface OutlineParameters {
  readonly offset: number;
  readonly slope: number;
  readonly crest: number;
  readonly leftReach: number;
  readonly rightReach: number;
  readonly height: number;
  readonly exponent: number;
}

/** Points of an outline; weights are inverse variances up to a factor. */
export interface OutlineRows {
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly weights: readonly number[];
}

/** Height of the outline at x, base included. */
export function outlineAt(shape: SectionShape, p: OutlineParameters, x: number): number {
  const reach = x < p.crest ? p.leftReach : p.rightReach;
  const bead = halfHeightAt(shape, { reach, height: p.height, exponent: p.exponent }, Math.abs(x - p.crest));
  return p.offset + p.slope * x + bead;
}

/** Parameters an outline has, in the order of a fit. */
export function outlineNames(shape: SectionShape, levelBase: boolean): readonly (keyof OutlineParameters)[] {
  return [
    "crest",
    "leftReach",
    "rightReach",
    "height",
    ...(levelBase ? [] : (["offset", "slope"] as const)),
    ...(shape === "power" ? (["exponent"] as const) : []),
  ];
}

const isReal = (p: OutlineParameters): boolean =>
  p.leftReach > 0.05 && p.rightReach > 0.05 && p.height > 0 && p.exponent > 0.2 && p.exponent < 20;

/** An outline at its least squares, and its linearisation there. */
export interface FittedOutline {
  readonly shape: SectionShape;
  readonly outline: OutlineParameters;
  /** Of the residuals on the outline's slopes, from which covariance and criteria come. */
  readonly fit: ConvergedFit;
}

/** Least-squares fit of one outline; undefined when the points do not determine it. */
export function fitOutline({
  shape,
  rows,
  start,
  levelBase,
}: {
  readonly shape: SectionShape;
  readonly rows: OutlineRows;
  readonly start: OutlineParameters;
  readonly levelBase: boolean;
}): FittedOutline | undefined {
  const names = outlineNames(shape, levelBase);
  const read = (theta: readonly number[]): OutlineParameters => {
    const p: Record<string, number> = { ...start };
    names.forEach((name, j) => {
      p[name] = theta[j]!;
    });
    return p as unknown as OutlineParameters;
  };
  const squares = (theta: readonly number[]): number => {
    const p = read(theta);
    if (!isReal(p)) return Number.POSITIVE_INFINITY;
    let sum = 0;
    for (let i = 0; i < rows.x.length; i++) {
      sum += rows.weights[i]! * (rows.y[i]! - outlineAt(shape, p, rows.x[i]!)) ** 2;
    }
    return sum;
  };
  const reach = start.leftReach + start.rightReach;
  const sizes: OutlineParameters = {
    crest: 0.05 * reach,
    leftReach: 0.08 * reach,
    rightReach: 0.08 * reach,
    height: 0.1 * start.height,
    offset: 0.05 * start.height,
    slope: 0.02,
    exponent: 0.5,
  };
  let theta = names.map((name) => start[name]);
  for (const share of [1, 0.3, 0.1]) {
    theta = [
      ...searchSimplex(
        squares,
        theta,
        names.map((name) => share * sizes[name]),
      ),
    ];
  }
  const outline = read(theta);
  const fit = linearise({ shape, rows, names, theta, read });
  return fit.aliased.length > 0 || !isReal(outline) ? undefined : { shape, outline, fit };
}

/** Residuals regressed on the outline's slopes by its parameters: at the minimum nothing is left to gain. */
function linearise({
  shape,
  rows,
  names,
  theta,
  read,
}: {
  readonly shape: SectionShape;
  readonly rows: OutlineRows;
  readonly names: readonly string[];
  readonly theta: readonly number[];
  readonly read: (theta: readonly number[]) => OutlineParameters;
}): LinearFit {
  const x = rows.x.map((at) =>
    theta.map((value, j) => {
      const step = 1e-4 * Math.max(1, Math.abs(value));
      const moved = (sign: number): OutlineParameters =>
        read(theta.map((v, k) => (k === j ? v + sign * step : v)));
      return (outlineAt(shape, moved(1), at) - outlineAt(shape, moved(-1), at)) / (2 * step);
    }),
  );
  const p = read(theta);
  const y = rows.y.map((value, i) => value - outlineAt(shape, p, rows.x[i]!));
  return fitLinear({ x, y, weights: rows.weights }, { names });
}
