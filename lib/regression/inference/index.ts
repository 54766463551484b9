export {
  type BootstrapKind,
  type BootstrapOptions,
  type BootstrapResult,
  bootstrap,
  type Derived,
} from "./bootstrap.js";
export {
  akaikeWeights,
  averageModels,
  compareNested,
  type InformationCriteria,
  informationCriteria,
  type NestedComparison,
} from "./criteria.js";
export { type DriftTest, runOrderDrift } from "./drift.js";
export { distanceOutsideHull } from "./extrapolation.js";
export { type LackOfFit, type LackOfFitOptions, lackOfFit } from "./lack-of-fit.js";
export { type LeaveOneOut, leaveOneOut, leaveOneOutRefit } from "./leave-one-out.js";
export { estimatesWithoutFolds } from "./left-out-folds.js";
export { type NormalityPlot, normalityPlot } from "./normality.js";
export { type ParameterInterval, parameterIntervals } from "./parameter-intervals.js";
export { type Prediction, type PredictOptions, predict } from "./predict.js";
export { type ProfileInterval, type ProfileOptions, type ProfilePoint, profileIntervals } from "./profile.js";
export { type ToleranceOptions, toleranceFactor, toleranceInterval } from "./tolerance.js";
