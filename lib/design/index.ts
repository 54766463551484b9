export {
  type AxialDistance,
  boxBehnken,
  type CentralCompositeOptions,
  centralComposite,
  conferenceMatrix,
  definitiveScreening,
  describeAliases,
  type FractionalFactorial,
  fractionalFactorial,
  minimumAberration,
  type PlackettBurmanRuns,
  plackettBurman,
  twoLevelFactorial,
} from "./classical/index.js";
export type {
  AliasedTerm,
  CouponEvaluation,
  EvaluatedPlan,
  ExpectedSurvivors,
  Leak,
  PlanEvaluation,
  PredictionEvaluation,
  TermEvaluation,
} from "./evaluate/index.js";
export {
  type ComparedMeasure,
  comparePlans,
  type EvaluationOptions,
  evaluatePlan,
} from "./evaluate/index.js";
export type {
  Basis,
  ModelOrder,
  NonlinearPlanModel,
  PlanModel,
  TermEffect,
  TermGroup,
} from "./model/index.js";
export { polynomialBasis } from "./model/index.js";
export type { Criterion } from "./optimal/index.js";
export { driftRobustOrder } from "./order/index.js";
export type { PlanOptions } from "./plan/index.js";
export { planCoupons } from "./plan/index.js";
export {
  type Axis,
  codedFromSettings,
  type DesignFactor,
  type DesignLimit,
  makeAxes,
  meetsLimits,
  nearestLevel,
  type Settings,
  type Survival,
} from "./region/index.js";
export type { CodedRun, DesignKind, Effort, Plan, PlanEffort, PlannedRun, RunRole } from "./runs/index.js";
export { type CouponEffort, designKinds, estimateEffort } from "./runs/index.js";
