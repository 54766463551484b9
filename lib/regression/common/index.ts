export { nameAliases } from "./alias.js";
export { conditionNumber, varianceInflation, type WeakDirection, weakDirections } from "./collinearity.js";
export {
  coefficientCovariance,
  coefficientsOf,
  type DesignBasis,
  designBasis,
  directionOf,
} from "./design-basis.js";
export { type Accuracy, analyticSlopes, jacobian } from "./jacobian.js";
export { checkObservations, requireConverged, requireRows } from "./observations.js";
export { type PenalisedSolution, type Penalty, solvePenalised } from "./penalised.js";
export { makeProblem, norm, type Problem, sweep } from "./problem.js";
export { diagnoseRows, type RowDiagnosis, unusualRows } from "./residuals.js";
export { isRounding, roundingFloor } from "./rounding-floor.js";
export { type RowFunctions, registerRowFunctions, rowFunctionsOf } from "./row-functions.js";
export { parameterSlopes } from "./slopes.js";
export type {
  Alias,
  Bounds,
  Certificate,
  ConvergedFit,
  FailedFit,
  Fit,
  FitStatus,
  Fold,
  Interval,
  LikelihoodFit,
  LinearFit,
  Model,
  Observations,
} from "./types.js";
export { tFactor, tIntervals } from "./wald.js";
