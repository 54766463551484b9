export {
  fitGaussianProcess,
  type GaussianProcessFit,
  type GaussianProcessOptions,
  WEAK_PROCESS_PRIORS,
} from "./gaussian-process.js";
export type { WeightedProcess } from "./gaussian-process-average.js";
export type { InputBox, ProcessObservations } from "./gaussian-process-data.js";
export { type LeftOutSetting, leaveOneSettingOut } from "./gaussian-process-leave-one-out.js";
export type { LogNormalPrior, ProcessParameters, ProcessPriors } from "./gaussian-process-likelihood.js";
export {
  gaussianProcessPredictor,
  type ProcessPrediction,
  predictGaussianProcess,
} from "./gaussian-process-predict.js";
