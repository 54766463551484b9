import { fCdf } from "../../numeric/index.js";
import type { Problem } from "../common/index.js";
import type { Polished } from "./polish.js";
import { rounding } from "./polish.js";

/** A fit must beat a constant at this chance of error. */
const againstConstant = 0.05;
/** Neighbouring residuals may go together by this many standard errors of their correlation. */
const together = 3;
/** Residuals that go together matter where they hold at least this share of what a constant leaves. */
const share = 0.05;
const leastRows = 8;

/** Least weighted sum of squares about a constant. */
function aboutConstant({ target, root, rows }: Problem): number {
  let cross = 0;
  let weight = 0;
  for (let i = 0; i < rows; i++) {
    cross += root[i]! * target[i]!;
    weight += root[i]! * root[i]!;
  }
  let rss = 0;
  for (let i = 0; i < rows; i++) rss += (target[i]! - (cross / weight) * root[i]!) ** 2;
  return rss;
}

/** Correlation of each residual with the next one along x, in its standard errors under independence. */
function serialCorrelation(problem: Problem, theta: readonly number[]): number {
  const { x, rows, model, root, target } = problem;
  const order = Array.from({ length: rows }, (_, i) => i).sort((a, b) => x[a]![0]! - x[b]![0]!);
  const left = order.map((i) => target[i]! - root[i]! * model.predict(theta, x[i]!));
  let cross = 0;
  let square = left[0]! ** 2;
  for (let i = 1; i < rows; i++) {
    cross += left[i]! * left[i - 1]!;
    square += left[i]! ** 2;
  }
  return square === 0 ? 0 : (cross / square) * Math.sqrt(rows);
}

/**
 * Whether a minimum found from one start gives reason to doubt that it is the best one: it does no better than a constant
 * by an F test, or (one regressor, 8 rows or more) it leaves a twentieth and more of the scatter about a constant in
 * residuals that run together along x. A good fit of the wrong model can look so too; then further starts find nothing.
 */
export function looksPoor(problem: Problem, { theta, free, rss, bulk }: Polished): boolean {
  const { rows, x } = problem;
  const plain = aboutConstant(problem);
  if (rss <= 100 * rounding(bulk, rss)) return false;
  const terms = free.length - 1;
  if (terms > 0) {
    const ratio = Math.max(0, plain - rss) / terms / (rss / (rows - free.length));
    if (fCdf(ratio, terms, rows - free.length) < 1 - againstConstant) return true;
  }
  if (x[0]!.length !== 1 || rows < leastRows || rss < share * plain) return false;
  return serialCorrelation(problem, theta) > together;
}
