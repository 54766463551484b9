export { type BlockedProblem, withBlockOffsets } from "./block-offsets.js";
export {
  type BootstrapKind,
  type BootstrapOptions,
  type BootstrapResult,
  bootstrap,
  type Derived,
} from "./bootstrap.js";
export { conditionNumber, varianceInflation, type WeakDirection, weakDirections } from "./collinearity.js";
export {
  akaikeWeights,
  averageModels,
  compareNested,
  type InformationCriteria,
  informationCriteria,
  type NestedComparison,
} from "./criteria.js";
export { type DriftTest, runOrderDrift } from "./drift.js";
export { type ErrorKind, type ErrorModel, type ErrorModelFit, fitWithErrorModel } from "./error-model.js";
export { distanceOutsideHull } from "./extrapolation.js";
export { type FormulaModel, formulaModel } from "./formula.js";
export {
  fitGaussianProcess,
  type GaussianProcessFit,
  type GaussianProcessOptions,
  type ProcessParameters,
  WEAK_PROCESS_PRIORS,
} from "./gaussian-process.js";
export type { InputBox, ProcessObservations } from "./gaussian-process-data.js";
export { type LeftOutSetting, leaveOneSettingOut } from "./gaussian-process-leave-one-out.js";
export type { LogNormalPrior, ProcessPriors } from "./gaussian-process-likelihood.js";
export {
  gaussianProcessPredictor,
  type ProcessPrediction,
  predictGaussianProcess,
} from "./gaussian-process-predict.js";
export { type LackOfFit, type LackOfFitOptions, lackOfFit } from "./lack-of-fit.js";
export { type LeaveOneOut, leaveOneOut, leaveOneOutRefit } from "./leave-one-out.js";
export { fitLinear, type LinearOptions, type Prior } from "./linear.js";
export { linearModel } from "./linear-model.js";
export { fitLogistic, type LogisticFit } from "./logistic.js";
export type { LogisticOptions, PassFailObservations } from "./logistic-data.js";
export { type ChanceEstimate, chanceInterval, predictLogistic } from "./logistic-predict.js";
export { fitNonlinear, type NonlinearOptions } from "./nonlinear.js";
export { type NormalityPlot, normalityPlot } from "./normality.js";
export { requireConverged } from "./observations.js";
export { fitOrdinal, type GradedObservations, type OrdinalFit, type OrdinalOptions } from "./ordinal.js";
export { type GradeChances, predictOrdinal } from "./ordinal-predict.js";
export { type Prediction, type PredictOptions, predict } from "./predict.js";
export { type ProfileInterval, type ProfileOptions, type ProfilePoint, profileIntervals } from "./profile.js";
export {
  type BlockEffect,
  type BlockedObservations,
  fitRandomBlock,
  type RandomBlockFit,
  type RandomBlockOptions,
} from "./reml.js";
export { diagnoseRows, type RowDiagnosis, unusualRows } from "./residuals.js";
export { fitRobust, type Outlier, type RobustFit, type RobustOptions } from "./robust.js";
export { ROBUST_TUNING } from "./robust-psi.js";
export { parameterSlopes } from "./slopes.js";
export { type ToleranceOptions, toleranceFactor, toleranceInterval } from "./tolerance.js";
export type {
  Alias,
  Bounds,
  Certificate,
  ConvergedFit,
  FailedFit,
  Fit,
  FitStatus,
  Interval,
  LinearFit,
  Model,
  Observations,
} from "./types.js";
export { tIntervals } from "./wald.js";
