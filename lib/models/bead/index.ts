export { type BackTransform, backTransform } from "./back-transform.js";
export type { BlendAxes } from "./blend-columns.js";
export { type BlockShift, type CouponBlocks, shiftText } from "./block-shifts.js";
export type { FormCandidate } from "./candidate.js";
export { codedAxes, type SurfaceOrder, surfaceRows } from "./coded-axes.js";
export { type ConstrainedPair, type ConstrainedSize, constrainedPairs } from "./constrained-data.js";
export { type ConstrainedFit, fitConstrained } from "./constrained-fit.js";
export type { ConstrainedRandom } from "./constrained-shifts.js";
export {
  type EnergyBalanceFit,
  type EnergyQuantity,
  type EnergyTerm,
  energyQuantities,
  fitEnergyBalance,
} from "./energy-balance.js";
export { fitStudy, type ResponseFit, type StudyFit, type StudyFitOptions } from "./fit-study.js";
export { errsClearlyLess, type LeftOutCoupons } from "./forecast.js";
export type {
  BeadFitOptions,
  Coefficient,
  EstimateWithInterval,
  FittedCoupon,
  FormQuality,
  SettingRange,
} from "./form.js";
export { couponQuality } from "./form.js";
export { type RegressionFit, referenceText } from "./form-model.js";
export { type FormName, formRules, formTitle, isPerHalfRange, type RegressionName } from "./form-rules.js";
export { fitGrades, type GradeChance, type GradeFit, predictGrades } from "./grade-fit.js";
export { settingLabels } from "./left-out.js";
export { type PowerLawData, type PowerLawTerm, withPowerLawRows } from "./power-law-data.js";
export { fitPowerLaw, type PowerLawFit, type ScatterLaw } from "./power-law-fit.js";
export { chosenQuality, foreseeingTogether, predictBead } from "./predict-bead.js";
export { type BeadPrediction, type FreeForm, predictForm, regressionBehind } from "./predict-form.js";
export type { RegressionForm } from "./regression-form.js";
export { fitResidualProcess, type ProcessFit } from "./residual-process.js";
export { type ResponseData, responseData } from "./response-data.js";
export {
  errorText,
  errorTexts,
  type ResponseScale,
  responseScale,
  type ScaleName,
} from "./response-scale.js";
export { fitSurface, type SurfaceFit } from "./surface.js";
export type { CouponSlip, Say, TogetherFit } from "./together.js";
