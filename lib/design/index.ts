export {
  type AxialDistance,
  type CentralCompositeOptions,
  centralComposite,
} from "./central-composite.js";
export { type Axis, type DesignFactor, makeAxes, nearestLevel, type Settings } from "./factor.js";
export { type FractionalFactorial, fractionalFactorial } from "./fractional.js";
export type { DesignLimit } from "./limit.js";
export type { DesignKind, Plan, PlannedRun, RunRole } from "./plan.js";
export { type PlanOptions, planCoupons } from "./plan-coupons.js";
export { twoLevelFactorial } from "./two-level.js";
