export { type ComparedMeasure, comparePlans } from "./compare-plans.js";
export { type EvaluationOptions, evaluatePlan } from "./evaluate-plan.js";
export type {
  AliasedTerm,
  CouponEvaluation,
  EvaluatedPlan,
  ExpectedSurvivors,
  Leak,
  PlanEvaluation,
  PredictionEvaluation,
  TermEvaluation,
} from "./evaluation.js";
