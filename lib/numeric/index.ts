export { findRoot, minimiseScalar, type ScalarResult } from "./brent.js";
export {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
  choleskySolve,
  choleskyWithJitter,
  solveLower,
  solveLowerRows,
  solveLowerTransposed,
} from "./cholesky.js";
export { mean, median, quantile, robustStandardDeviation, standardDeviation } from "./descriptive.js";
export {
  betaCdf,
  betaQuantile,
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  logGamma,
  normalCdf,
  normalPdf,
  normalQuantile,
  tCdf,
  tQuantile,
} from "./distributions.js";
export { dot } from "./dot-tile.js";
export { sliceStep } from "./elliptical-slice.js";
export { brief, fixed, levelPercent, percent, rounds, settingDigits, significant } from "./format.js";
export {
  noncentralFCdf,
  noncentralFQuantile,
  noncentralTCdf,
  noncentralTQuantile,
} from "./noncentral.js";
export { type MinimiseOptions, type MinimiseResult, minimiseBounded } from "./optimise.js";
export {
  applyQ,
  applyQTransposed,
  factorQr,
  inverseGram,
  leverages,
  type QrFactor,
  type QrOptions,
  solveLeastSquares,
  solveUpper,
  solveUpperTransposed,
} from "./qr.js";
export { type NonnegativeSolution, solveNonnegative } from "./qr-nonnegative.js";
export { type RefinedSolution, refineLeastSquares } from "./qr-refine.js";
export { type RandomStream, randomStream } from "./random.js";
export { type SingularSystem, singularSystem } from "./singular.js";
export { SOBOL_MAX_DIMENSIONS, sobolPoints } from "./sobol.js";
