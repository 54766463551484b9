import { applyQ, applyQTransposed, factorQr, type QrFactor, solveUpper } from "../numeric/index.js";
import { type Accuracy, jacobian } from "./jacobian.js";
import { type Problem, sweep } from "./problem.js";

/**
 * The problem with its linear parameters projected out: for given nonlinear parameters the linear ones are solved for,
 * and what is left is a least-squares problem in the nonlinear ones alone. With no linear parameters it is the plain
 * problem.
 *
 * @source G. H. Golub and V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413-432; L. Kaufman, BIT 15 (1975) 49-57 for
 * leaving out the second term of the derivative
 */
export class SeparableProblem {
  readonly problem: Problem;
  readonly linear: readonly number[];
  readonly nonlinear: readonly number[];
  /** All parameters at the last point evaluated. */
  readonly theta: number[];
  private readonly basis: Float64Array;
  private readonly offset: Float64Array;
  private readonly work: Float64Array;
  private readonly full: Float64Array;
  private factor: QrFactor | undefined;

  constructor(problem: Problem, linear: readonly number[]) {
    this.problem = problem;
    this.linear = linear;
    this.nonlinear = Array.from({ length: problem.size }, (_, j) => j).filter((j) => !linear.includes(j));
    this.theta = new Array<number>(problem.size).fill(0);
    this.basis = new Float64Array(problem.rows * linear.length);
    this.offset = new Float64Array(problem.rows);
    this.work = new Float64Array(problem.rows);
    this.full = new Float64Array(problem.rows);
  }

  /**
   * Weighted values at the nonlinear parameters, with the best linear ones, into `out`; all Infinity when the model
   * is not finite there.
   *
   * @returns residual sum of squares
   */
  evaluate(alpha: readonly number[], out: Float64Array): number {
    const { problem, theta, nonlinear, linear } = this;
    for (let k = 0; k < nonlinear.length; k++) theta[nonlinear[k]!] = alpha[k]!;
    const finite = linear.length === 0 ? sweep(problem, theta, out) : this.project(out);
    if (!finite) {
      out.fill(Number.POSITIVE_INFINITY);
      return Number.POSITIVE_INFINITY;
    }
    let rss = 0;
    for (let i = 0; i < problem.rows; i++) {
      const r = problem.target[i]! - out[i]!;
      rss += r * r;
    }
    return Number.isFinite(rss) ? rss : Number.POSITIVE_INFINITY;
  }

  /** Basis columns by unit linear parameters, their QR, the best linear parameters, and the values into `out`. */
  private project(out: Float64Array): boolean {
    const { problem, theta, linear, basis, offset, work } = this;
    const { rows, target } = problem;
    for (const j of linear) theta[j] = 0;
    if (!sweep(problem, theta, offset)) return false;
    for (let k = 0; k < linear.length; k++) {
      theta[linear[k]!] = 1;
      if (!sweep(problem, theta, basis, k * rows)) return false;
      theta[linear[k]!] = 0;
      for (let i = 0; i < rows; i++) basis[k * rows + i] = basis[k * rows + i]! - offset[i]!;
    }
    const factor = factorQr(basis, rows, linear.length);
    this.factor = factor;
    for (let i = 0; i < rows; i++) work[i] = target[i]! - offset[i]!;
    applyQTransposed(factor, work);
    for (let i = 0; i < rows; i++) out[i] = i < factor.rank ? 0 : work[i]!;
    applyQ(factor, out);
    for (let i = 0; i < rows; i++) out[i] = target[i]! - out[i]!;
    solveUpper(factor, work);
    for (let k = 0; k < linear.length; k++)
      theta[linear[factor.pivots[k]!]!] = k < factor.rank ? work[k]! : 0;
    return true;
  }

  /**
   * Derivatives of the values by the nonlinear parameters at the last point evaluated (Kaufman's form), column-major.
   *
   * @param values - what {@link evaluate} gave there
   */
  derivatives(values: Float64Array, out: Float64Array, accuracy: Accuracy): boolean {
    const { problem, theta, nonlinear, factor, full } = this;
    const { rows } = problem;
    if (!jacobian(problem, theta, nonlinear, values, out, accuracy)) return false;
    if (factor === undefined || factor.rank === 0) return true;
    for (let k = 0; k < nonlinear.length; k++) {
      full.set(out.subarray(k * rows, (k + 1) * rows));
      applyQTransposed(factor, full);
      full.fill(0, 0, factor.rank);
      applyQ(factor, full);
      out.set(full, k * rows);
    }
    return true;
  }
}
