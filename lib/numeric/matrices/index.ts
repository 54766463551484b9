export {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
  choleskySolve,
  choleskyWithJitter,
  invertLower,
  solveLower,
  solveLowerRows,
  solveLowerTransposed,
} from "./cholesky.js";
export { addSquaredLengths, dot, multiplyRows, stackRows } from "./dot-tile.js";
export { innerProduct, quadraticForm } from "./products.js";
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
export { type SingularSystem, singularSystem } from "./singular.js";
export { type Shifted, shifted, type Tridiagonal, tridiagonal } from "./tridiagonal.js";
