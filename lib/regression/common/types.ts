import type { Finding } from "../../errors/index.js";

/** A response as a function of parameters and one row of regressors. Knows nothing of data. */
export interface Model {
  readonly parameters: readonly string[];
  predict(theta: readonly number[], x: readonly number[]): number;
  /** Partial derivatives of `predict` by each parameter. Without it, differences are taken. */
  gradient?(theta: readonly number[], x: readonly number[]): readonly number[];
  /**
   * Parameters that, the others held, enter as a sum of terms each linear in one of them.
   * Without it they are found by trial; give `[]` to treat all as nonlinear.
   */
  readonly linearIn?: readonly string[];
}

/** Measured rows. `weights` are inverse variances up to a common factor; without them all rows count alike. */
export interface Observations {
  readonly x: readonly (readonly number[])[];
  readonly y: readonly number[];
  readonly weights?: readonly number[];
}

/** Rows to be foreseen by a fit that saw neither them nor others that would give them away. */
export interface Fold {
  readonly rows: readonly number[];
  /** The rows left out, those foreseen among them. */
  readonly without: readonly number[];
}

/** Box limits per parameter; -Infinity and Infinity (or a missing list) mean none. */
export interface Bounds {
  readonly lower?: readonly number[];
  readonly upper?: readonly number[];
}

export type FitStatus = "converged" | "max-iterations" | "singular" | "non-finite";

/** What the claim "this is the minimum" rests on. */
export interface Certificate {
  /** Name of the quantity judged. */
  readonly criterion: "relative offset" | "orthogonality";
  readonly value: number;
  /** The fit counts as converged when `value <= tolerance`, all parameters are determined and no probe found less. */
  readonly tolerance: number;
  readonly iterations: number;
  /** Single evaluations of the model. */
  readonly evaluations: number;
  readonly startsTried: number;
  /** Starts that ended at the same residual sum of squares. */
  readonly startsAgreeing: number;
}

interface FitBase {
  readonly parameters: readonly string[];
  readonly estimates: readonly number[];
  /** Weighted residual sum of squares. */
  readonly rss: number;
  /** Residual degrees of freedom, n - p. */
  readonly df: number;
  /** Model values per row, in the unit of y. */
  readonly fitted: readonly number[];
  /** y - fitted, in the unit of y. */
  readonly residuals: readonly number[];
  readonly observations: Observations;
  readonly certificate: Certificate;
  readonly findings: readonly Finding[];
}

/** A fit that may be used for inference. */
export interface ConvergedFit extends FitBase {
  readonly status: "converged";
  readonly standardErrors: readonly number[];
  /** residualSd^2 (J' W J)^-1 at the estimates. */
  readonly covariance: readonly (readonly number[])[];
  /** sqrt(rss / df): standard deviation of an observation of weight 1. */
  readonly residualSd: number;
  /** Diagonal of the hat matrix. */
  readonly leverage: readonly number[];
  /** Parameters held at a bound: their standard error is 0 and they get no interval. */
  readonly atBound: readonly string[];
}

/** A fit that stopped short. Its estimates are where it stopped and answer nothing. */
export interface FailedFit extends FitBase {
  readonly status: Exclude<FitStatus, "converged">;
}

/** Check `status` (or call `requireConverged`) before using a fit: the compiler insists. */
export type Fit = ConvergedFit | FailedFit;

/** A term that is a combination of others, in words. */
export interface Alias {
  readonly term: string;
  /** For example `x3 = x1 + x2`. */
  readonly relation: string;
  /** The same, one coefficient per parameter (0 for the term itself). */
  readonly coefficients: readonly number[];
}

/** A linear fit: always a minimum; terms that cannot be told apart are dropped and named. */
export interface LinearFit extends ConvergedFit {
  readonly rank: number;
  /** Dropped terms: estimate 0, standard error 0. */
  readonly aliased: readonly Alias[];
  /** Ratio of largest to smallest singular value of the column-scaled regressors. */
  readonly conditionNumber: number;
}

/** What fits by maximum likelihood have in common. */
export interface LikelihoodFit {
  readonly status: "converged" | "max-iterations" | "singular";
  readonly parameters: readonly string[];
  readonly estimates: readonly number[];
  /** Inverse of the information, any penalty and prior included, at the maximum. */
  readonly covariance: readonly (readonly number[])[];
  readonly standardErrors: readonly number[];
  /** Empty unless converged. */
  readonly intervals: readonly Interval[];
  readonly logLikelihood: number;
  readonly iterations: number;
  readonly findings: readonly Finding[];
}

/** A two-sided interval for a named quantity. */
export interface Interval {
  readonly name: string;
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
  readonly level: number;
}
