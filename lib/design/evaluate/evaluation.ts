import type { Finding } from "../../errors/index.js";
import type { DesignFactor, Settings } from "../region/index.js";

/** A plan to evaluate: one of {@link planCoupons}, or any list of coupons. */
export interface EvaluatedPlan {
  readonly factors: readonly DesignFactor[];
  readonly runs: readonly {
    readonly settings: Settings;
    readonly block?: number;
    readonly wholePlot?: number;
  }[];
}

/** What can be learnt about one term of the model. */
export interface TermEvaluation {
  readonly name: string;
  /**
   * Standard error of the term's effect, in the response's unit: of the change from low to high, for a
   * square from the middle to the ends, for a category the largest between two levels; of the parameter
   * itself for a nonlinear model.
   */
  readonly standardError: number;
  /** Degrees of freedom of the error it is judged by. */
  readonly degreesOfFreedom: number;
  /** Chance to detect the stated change; absent without degrees of freedom and for nonlinear models. */
  readonly power?: number;
  /** Variance of the estimate over what it would be if this term stood alone. */
  readonly inflation: number;
}

/** A term the coupons cannot tell apart from others. */
export interface AliasedTerm {
  readonly name: string;
  readonly with: readonly string[];
}

/** How much a term left out of the model would bias one that is in it. */
export interface Leak {
  readonly from: string;
  readonly into: string;
  /** Bias of the coefficient of `into` per unit of the coefficient of `from`. */
  readonly share: number;
}

/** What hangs on one coupon. */
export interface CouponEvaluation {
  /** Place in the plan, from 1; existing coupons follow. */
  readonly number: number;
  /** What it is called; its number where it has no name yet. */
  readonly name: string;
  /** Pull of the coupon on its own fitted value, 0 to 1 without hard-to-change factors; sums to the number of terms. */
  readonly leverage: number;
  /** (|X'X| without it over with it)^(1/p); 0 when a term is lost. */
  readonly informationWithout: number;
  /** Mean standard error of prediction without it over with it; absent when a term is lost. */
  readonly predictionWithout?: number;
  /** Terms that could no longer be estimated without it. */
  readonly lostTerms: readonly string[];
}

/** Standard error of the predicted mean over the allowed region, in the response's unit. */
export interface PredictionEvaluation {
  /** Root of the mean variance. */
  readonly mean: number;
  readonly max: number;
  /** The error that is not exceeded over a share of the region. */
  readonly shares: readonly { readonly share: number; readonly standardError: number }[];
}

/** How many of a plan's coupons are expected to give dimensions, and what those will tell. Plain data. */
export interface ExpectedSurvivors {
  /** Of the new coupons. */
  readonly expected: number;
  /** Between these lie 80 % of what may come. */
  readonly lower: number;
  readonly upper: number;
  /** Chance of each new coupon, in the plan's order. */
  readonly chances: readonly number[];
  /** Chance that those which survive, with the coupons already run, can tell every term of the model. */
  readonly allTerms: number;
  /** Mean standard error of prediction, in the response's unit, where they can: its median and the end of the worse tenth. */
  readonly predictionError?: { readonly median: number; readonly upper: number };
}

/** What a plan can tell, judged before any coupon is run. Plain data: it survives JSON. */
export interface PlanEvaluation {
  readonly coupons: readonly CouponEvaluation[];
  /** New coupons and coupons already run. */
  readonly runs: number;
  readonly existing: number;
  /** Terms of the model, mean and block offsets included, and how many of them can be estimated. */
  readonly parameters: number;
  readonly rank: number;
  /** Coupons left for judging scatter; of these, repeats of the same settings. */
  readonly residualDegreesOfFreedom: number;
  readonly pureErrorDegreesOfFreedom: number;
  /** What is expected to be left of the plan; only when survival was foreseen, and then all figures rest on it. */
  readonly survivors?: ExpectedSurvivors;
  /** Groups of coupons on one setting of the hard-to-change factors; absent without such factors. */
  readonly wholePlots?: number;
  /** The change in the response that power refers to, the standard deviation of a coupon, the confidence level. */
  readonly change: number;
  readonly sd: number;
  readonly level: number;
  readonly terms: readonly TermEvaluation[];
  readonly aliased: readonly AliasedTerm[];
  readonly leaks: readonly Leak[];
  /** Correlations of the estimates, mean left out: a square matrix in the order of `names`. */
  readonly correlations: {
    readonly names: readonly string[];
    readonly matrix: readonly (readonly number[])[];
  };
  readonly prediction: PredictionEvaluation;
  /** Per coupon, in coded units; 1 would be an orthogonal plan at the corners. For comparing plans of one model. */
  readonly efficiency: { readonly D: number; readonly A: number; readonly G: number };
  readonly findings: readonly Finding[];
}
