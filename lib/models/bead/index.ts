export { type BackTransform, backTransform } from "./back-transform.js";
export {
  type ConstrainedFit,
  type ConstrainedResponse,
  type EstimateWithInterval,
  fitConstrained,
} from "./constrained-fit.js";
export { fitStudy, type StudyFit } from "./fit-study.js";
export { type PowerLawData, type PowerLawTerm, powerLawData } from "./power-law-data.js";
export {
  type BeadFitOptions,
  type ErrorKind,
  type Exponent,
  type FittedCoupon,
  type FormQuality,
  fitPowerLaw,
  type PowerLawFit,
} from "./power-law-fit.js";
export { type BeadPrediction, predictBead, predictPowerLaw } from "./predict-bead.js";
