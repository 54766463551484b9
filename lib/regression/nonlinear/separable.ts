import { applyQTransposed, factorQr, type QrFactor, solveUpper } from "../../numeric/index.js";
import { analyticSlopes, jacobian, type Problem, sweep } from "../common/index.js";

/** Residuals and derivatives at a point, in rotated coordinates: lengths and angles are those of the rows. */
export interface Linearised {
  /** Rows in use; the arrays may be longer. */
  readonly rows: number;
  readonly residuals: Float64Array;
  /** By the nonlinear parameters, column-major. */
  readonly slopes: Float64Array;
}

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
  /** Residuals, rotated by Q' of the basis. */
  private readonly rotated: Float64Array;
  private factor: QrFactor | undefined;
  /** What the last linearisation is handed out in. */
  private readonly residuals: Float64Array;
  private readonly columns: Float64Array;
  private readonly slopes: Float64Array;

  constructor(problem: Problem, linear: readonly number[]) {
    this.problem = problem;
    this.linear = linear;
    this.nonlinear = Array.from({ length: problem.size }, (_, j) => j).filter((j) => !linear.includes(j));
    this.theta = new Array<number>(problem.size).fill(0);
    this.basis = new Float64Array(problem.rows * linear.length);
    this.offset = new Float64Array(problem.rows);
    this.rotated = new Float64Array(problem.rows);
    this.residuals = new Float64Array(problem.rows);
    this.columns = new Float64Array(problem.rows * this.nonlinear.length);
    this.slopes = linear.length === 0 ? this.columns : new Float64Array(this.columns.length);
  }

  /**
   * Residual sum of squares at the nonlinear parameters with the best linear ones; Infinity where the model is not
   * finite.
   */
  evaluate(alpha: readonly number[]): number {
    const { problem, theta, nonlinear, linear, offset, rotated } = this;
    const { rows, target } = problem;
    for (let k = 0; k < nonlinear.length; k++) theta[nonlinear[k]!] = alpha[k]!;
    for (const j of linear) theta[j] = 0;
    if (!sweep({ problem, theta, out: offset }) || !this.fillBasis()) return Number.POSITIVE_INFINITY;
    for (let i = 0; i < rows; i++) rotated[i] = target[i]! - offset[i]!;
    const skip = linear.length === 0 ? 0 : this.project();
    let rss = 0;
    for (let i = skip; i < rows; i++) rss += rotated[i]! * rotated[i]!;
    return Number.isFinite(rss) ? rss : Number.POSITIVE_INFINITY;
  }

  /** One column per linear parameter: its derivative, which is the change for a unit of it. */
  private fillBasis(): boolean {
    const { problem, theta, linear, basis, offset } = this;
    const { rows } = problem;
    if (linear.length === 0) return true;
    if (problem.model.gradient !== undefined)
      return analyticSlopes({ problem, theta, columns: linear, out: basis });
    for (let k = 0; k < linear.length; k++) {
      theta[linear[k]!] = 1;
      if (!sweep({ problem, theta, out: basis, offset: k * rows })) return false;
      theta[linear[k]!] = 0;
      for (let i = 0; i < rows; i++) basis[k * rows + i] = basis[k * rows + i]! - offset[i]!;
    }
    return true;
  }

  /** Rotates the residuals by Q' of the basis and solves for the linear parameters; returns the rank. */
  private project(): number {
    const { problem, theta, linear, basis, rotated } = this;
    const factor = factorQr({ values: basis, rows: problem.rows, columns: linear.length });
    this.factor = factor;
    applyQTransposed(factor, rotated);
    const best = rotated.slice(0, linear.length);
    solveUpper(factor, best);
    for (let k = 0; k < linear.length; k++) {
      theta[linear[factor.pivots[k]!]!] = k < factor.rank ? best[k]! : 0;
    }
    return factor.rank;
  }

  /**
   * Residuals and derivatives at the last point evaluated (Kaufman's form), in arrays the next call overwrites; undefined
   * where a derivative is not finite.
   */
  linearise(): Linearised | undefined {
    const { problem, theta, nonlinear, factor, rotated, offset, columns, residuals, slopes } = this;
    const { rows } = problem;
    const skip = factor?.rank ?? 0;
    const left = rows - skip;
    const needsValues = problem.model.gradient === undefined && skip > 0;
    if (needsValues && !sweep({ problem, theta, out: offset })) return undefined;
    if (!jacobian({ problem, theta, columns: nonlinear, base: offset, out: columns, accuracy: "rough" }))
      return undefined;
    for (let i = 0; i < left; i++) residuals[i] = rotated[skip + i]!;
    if (factor !== undefined) {
      for (let k = 0; k < nonlinear.length; k++) {
        applyQTransposed(factor, columns, k * rows);
        for (let i = 0; i < left; i++) slopes[k * left + i] = columns[k * rows + skip + i]!;
      }
    }
    return { rows: left, residuals, slopes };
  }
}
