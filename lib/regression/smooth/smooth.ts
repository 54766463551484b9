import { requireThat } from "../../errors/index.js";
import { median } from "../../numeric/figures/index.js";
import { choleskyInverse, choleskySolve, dot, solveLowerRows } from "../../numeric/matrices/index.js";
import { Kernel, type SmoothRows, type SmoothSpread } from "./kernel.js";
import { type Aside, evidenceOf, type Likely, likeliest, underBend } from "./likeliest.js";

/** What is foreseen of a row, scatter included. */
export interface ForeseenRow {
  readonly mean: number;
  readonly sd: number;
}

/** A smooth of rows of which some may be set aside. */
export interface Smoothing {
  /** The likeliest spread of the rows that are not set aside; near one found for nearly the same rows. */
  readonly likeliest: (aside: readonly number[], near?: SmoothSpread) => Likely;
  /** How likely a spread is by the same rows. */
  readonly evidence: (aside: readonly number[], spread: SmoothSpread) => number;
  /** What the rows that are not set aside foresee for those that are, in their order. */
  readonly foreseen: (aside: readonly number[], spread: SmoothSpread) => readonly ForeseenRow[];
  /** For each row: what the others that are not set aside foresee. */
  readonly leftOut: (aside: readonly number[], spread: SmoothSpread) => readonly ForeseenRow[];
}

/** Values about their middle. */
export const aboutMiddle = (
  { y, centre }: SmoothRows,
  aside: readonly number[] = [],
): { readonly middle: number; readonly values: Float64Array } => {
  const middle = centre?.mean ?? median(aside.length === 0 ? y : y.filter((_, i) => !aside.includes(i)));
  return { middle, values: Float64Array.from(y, (value) => value - middle) };
};

/**
 * Smooths rows by a plane, a gentle departure from it and a shift per group, all with normal priors: what the rows say
 * of one another without a law. The spreads are the likeliest ones.
 *
 *     y = a + b'x + f(x) + shift(group) + e,  f a Gaussian process of length 0.8
 *
 * What all rows have in common is worked out once, so that a row costs little to set aside however many there are.
 *
 * @throws {BeadbenchError} `bad-argument` without rows
 * @source C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006), 2.2, 5.4.2 (left-out rows)
 */
export function smoothing(rows: SmoothRows): Smoothing {
  const n = rows.y.length;
  requireThat(n >= 1 && rows.x.length === n, `smoothing: needs rows with an input each, got ${n}`);
  const kernel = new Kernel(rows);
  const seen = (aside: readonly number[]) => ({ y: kernel.seen(aboutMiddle(rows, aside).values), aside });
  const told = (aside: readonly number[], spread: SmoothSpread): Aside =>
    underBend(kernel, spread, seen(aside))(spread.scatter).aside;
  const foreseen: Smoothing["foreseen"] = (aside, spread) => foreseenAside(rows, aside, told(aside, spread));
  return {
    likeliest: (aside, near) => likeliest(kernel, seen(aside), near),
    evidence: (aside, spread) =>
      evidenceOf(spread, underBend(kernel, spread, seen(aside))(spread.scatter).deviance, n - aside.length),
    foreseen,
    leftOut: (aside, spread) => {
      const result = leftOutOf({ rows, kernel, aside, spread, told: told(aside, spread) });
      foreseen(aside, spread).forEach((one, i) => {
        result[aside[i]!] = one;
      });
      return result;
    },
  };
}

/** y - A^-1 b, and the roots of the diagonal of A^-1. */
function foreseenAside(
  { y }: SmoothRows,
  aside: readonly number[],
  { factor, solved }: Aside,
): readonly ForeseenRow[] {
  const k = aside.length;
  const off = solved.slice();
  choleskySolve(factor, k, off);
  const inverse = new Float64Array(k * k);
  choleskyInverse(factor, k, inverse);
  return aside.map((row, i) => ({ mean: y[row]! - off[i]!, sd: Math.sqrt(inverse[i * k + i]!) }));
}

/** The same for each row not set aside, which is then set aside too. */
function leftOutOf({
  rows,
  kernel,
  aside,
  spread,
  told: { factor, solved },
}: {
  readonly rows: SmoothRows;
  readonly kernel: Kernel;
  readonly aside: readonly number[];
  readonly spread: SmoothSpread;
  readonly told: Aside;
}): ForeseenRow[] {
  const { n, m } = kernel;
  const k = aside.length;
  const variance = spread.scatter ** 2;
  const all = kernel.solve(spread, kernel.seen(aboutMiddle(rows, aside).values));
  const halves = kernel.places();
  solveLowerRows(kernel.factor(spread), m, halves, n);
  // Row by row what C^-1 says between it and those set aside.
  const between = new Float64Array(n * k);
  aside.forEach((row, j) => {
    const column = new Float64Array(n);
    column[row] = 1;
    kernel.solve(spread, kernel.seen(column)).forEach((value, i) => {
      between[i * k + j] = value;
    });
  });
  const taken = solved.slice();
  choleskySolve(factor, k, taken);
  const roots = between.slice();
  solveLowerRows(factor, k, roots, n);
  return rows.y.map((value, i) => {
    const precision =
      dot(halves, i * m, halves, i * m, m) +
      kernel.outside(i, i) / variance -
      dot(roots, i * k, roots, i * k, k);
    const off = all[i]! - dot(between, i * k, taken, 0, k);
    return { mean: value - off / precision, sd: 1 / Math.sqrt(precision) };
  });
}
