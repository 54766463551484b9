import { logisticChance } from "./logistic-likelihood.js";

/** A cumulative logit problem in standardised columns. */
export interface OrdinalProblem {
  readonly rows: number;
  readonly columns: number;
  /** Grades in use, numbered 0 to grades - 1. */
  readonly grades: number;
  /** rows x columns, row by row. */
  readonly z: Float64Array;
  readonly grade: Int32Array;
  readonly count: Float64Array;
  /** Mean and precision of a normal belief per column; precision 0 for none. */
  readonly priorMean: Float64Array;
  readonly priorPrecision: Float64Array;
}

/** F(upper) - F(lower) without cancellation, F the logistic distribution function. */
function chanceBetween(lower: number, upper: number): number {
  return lower > 0
    ? logisticChance(-lower) - logisticChance(-upper)
    : logisticChance(upper) - logisticChance(lower);
}

const density = (u: number): number => (Number.isFinite(u) ? logisticChance(u) * logisticChance(-u) : 0);
/** f'(u) = f (1 - 2 F). */
const slope = (u: number): number =>
  Number.isFinite(u) ? density(u) * (logisticChance(-u) - logisticChance(u)) : 0;

/**
 * Log-likelihood sum n ln[F(theta_k - z gamma) - F(theta_(k-1) - z gamma)] plus the log prior at
 * (theta_1 ... theta_(K-1), gamma), with score and observed information (lower triangle). -Infinity where
 * thresholds are out of order.
 */
export function ordinalLikelihood({
  problem,
  parameters,
  score,
  information,
}: {
  readonly problem: OrdinalProblem;
  readonly parameters: Float64Array;
  readonly score: Float64Array;
  readonly information: Float64Array;
}): number {
  const { rows, columns, grades, z, grade, count } = problem;
  const cuts = grades - 1;
  const size = cuts + columns;
  score.fill(0);
  information.fill(0);
  const lift = new Float64Array(size);
  const drop = new Float64Array(size);
  let sum = 0;
  for (let i = 0; i < rows; i++) {
    let eta = 0;
    for (let j = 0; j < columns; j++) eta += z[i * columns + j]! * parameters[cuts + j]!;
    const k = grade[i]!;
    const upper = k < cuts ? parameters[k]! - eta : Number.POSITIVE_INFINITY;
    const lower = k > 0 ? parameters[k - 1]! - eta : Number.NEGATIVE_INFINITY;
    const chance = upper > lower ? chanceBetween(lower, upper) : 0;
    if (!(chance > 0)) return Number.NEGATIVE_INFINITY;
    sum += count[i]! * Math.log(chance);
    // Derivatives by the upper and the lower cut; both move with -z gamma.
    const dUpper = density(upper) / chance;
    const dLower = -density(lower) / chance;
    const hUpper = dUpper * dUpper - slope(upper) / chance;
    const hLower = dLower * dLower + slope(lower) / chance;
    const hCross = dUpper * dLower;
    lift.fill(0);
    drop.fill(0);
    if (k < cuts) lift[k] = 1;
    if (k > 0) drop[k - 1] = 1;
    for (let j = 0; j < columns; j++) {
      const value = z[i * columns + j]!;
      lift[cuts + j] = k < cuts ? -value : 0;
      drop[cuts + j] = k > 0 ? -value : 0;
    }
    for (let a = 0; a < size; a++) {
      const first = count[i]! * (hUpper * lift[a]! + hCross * drop[a]!);
      const second = count[i]! * (hLower * drop[a]! + hCross * lift[a]!);
      score[a]! += count[i]! * (dUpper * lift[a]! + dLower * drop[a]!);
      if (first === 0 && second === 0) continue;
      for (let b = 0; b <= a; b++) information[a * size + b]! += first * lift[b]! + second * drop[b]!;
    }
  }
  for (let j = 0; j < columns; j++) {
    const a = cuts + j;
    const gap = parameters[a]! - problem.priorMean[j]!;
    sum -= 0.5 * problem.priorPrecision[j]! * gap * gap;
    score[a]! -= problem.priorPrecision[j]! * gap;
    information[a * size + a]! += problem.priorPrecision[j]!;
  }
  return sum;
}
