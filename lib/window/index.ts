export type { SettingWithUnit } from "./best-setting.js";
export { type Confirmation, confirmClaim } from "./confirmation.js";
export { type Conformance, conformance, conformanceChances, conformanceDraws } from "./conformance.js";
export { type CouponGains, expectedGains } from "./coupon-gains.js";
export { couponPrice } from "./coupon-price.js";
export { type Desirability, type DesirabilityGoal, desirability } from "./desirability.js";
export { type DriftSensitivity, driftSensitivity } from "./drift.js";
export type { WindowEllipsoid } from "./ellipsoid.js";
export { type Budget, type CouponExpense, couponExpense, expenseKinds, paidFor } from "./expense.js";
export {
  type ExploredSetting,
  type Explorer,
  makeExplorer,
  type PredictedResponse,
} from "./explorer.js";
export type { BrokenLimit } from "./grid.js";
export {
  type LearnedBatch,
  type LearningCurve,
  type LearningOptions,
  type LearningStep,
  learningCurve,
} from "./learning-curve.js";
export type { Lesson } from "./lessons.js";
export type { ChanceMap } from "./map.js";
export {
  type ForeseenCoupon,
  type ForeseenResponse,
  foreseeCoupons,
} from "./predict-setting.js";
export {
  findWindow,
  type ProcessWindow,
  volumeText,
  type WindowOptions,
  type WindowRange,
} from "./process-window.js";
export type { Aim, Proposal } from "./proposal.js";
export { type Proposals, type ProposeOptions, proposeNext } from "./propose.js";
export type { Reason } from "./reason.js";
export { type Recommendation, recommendationFrom, recommendPreset } from "./recommend.js";
export type { StoppingAdvice } from "./stopping.js";
export {
  type Consumption,
  type TradeOff,
  type TradeOffOptions,
  type TradeOffs,
  tradeOffs,
} from "./trade-offs.js";
export { makeTried, type TriedCoupon, type Whereabouts } from "./tried.js";
