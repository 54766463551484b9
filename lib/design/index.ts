export type { ModelOrder, NonlinearPlanModel, PlanModel } from "./basis.js";
export { boxBehnken } from "./box-behnken.js";
export { type AxialDistance, type CentralCompositeOptions, centralComposite } from "./central-composite.js";
export { type ComparedMeasure, comparePlans } from "./compare-plans.js";
export { conferenceMatrix, definitiveScreening } from "./definitive-screening.js";
export { type CouponEffort, estimateEffort } from "./effort.js";
export { type EvaluationOptions, evaluatePlan } from "./evaluate-plan.js";
export type {
  AliasedTerm,
  CouponEvaluation,
  EvaluatedPlan,
  Leak,
  PlanEvaluation,
  PredictionEvaluation,
  TermEvaluation,
} from "./evaluation.js";
export {
  type Axis,
  codedFromSettings,
  type DesignFactor,
  makeAxes,
  nearestLevel,
  type Settings,
} from "./factor.js";
export { formatPlanComparison, formatPlanEvaluation } from "./format-evaluation.js";
export {
  describeAliases,
  type FractionalFactorial,
  fractionalFactorial,
  minimumAberration,
} from "./fractional.js";
export type { Criterion } from "./information.js";
export { type DesignLimit, meetsLimits } from "./limit.js";
export { type PlackettBurmanRuns, plackettBurman } from "./plackett-burman.js";
export type { CodedRun, DesignKind, Effort, Plan, PlanEffort, PlannedRun, RunRole } from "./plan.js";
export { designKinds } from "./plan.js";
export { planCoupons } from "./plan-coupons.js";
export type { PlanOptions } from "./plan-options.js";
export { polynomialBasis } from "./polynomial-basis.js";
export { twoLevelFactorial } from "./two-level.js";
