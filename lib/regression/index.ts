export { conditionNumber } from "./collinearity.js";
export { fitLinear, type LinearOptions, type Prior } from "./linear.js";
export { linearModel } from "./linear-model.js";
export {
  fitLogistic,
  type LogisticFit,
  type LogisticOptions,
  type PassFailObservations,
} from "./logistic.js";
export { type ChanceEstimate, chanceInterval, predictLogistic } from "./logistic-predict.js";
export { fitNonlinear, type NonlinearOptions } from "./nonlinear.js";
export { requireConverged } from "./observations.js";
export { type Prediction, type PredictOptions, predict } from "./predict.js";
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
