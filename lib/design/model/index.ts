export type { Basis, ModelOrder, NonlinearPlanModel, PlanModel, TermEffect, TermGroup } from "./basis.js";
export { independentColumns } from "./independent-columns.js";
export { basisOf } from "./model.js";
export {
  type Covariance,
  covarianceOf,
  expressedIn,
  type ModelMatrix,
  pickColumns,
  sortedColumns,
} from "./model-matrix.js";
export { polynomialBasis } from "./polynomial-basis.js";
export {
  addOuter,
  addSymmetricPair,
  dot,
  multiply,
  quadraticForm,
  sandwich,
  sparseDot,
  sparseQuadraticForm,
} from "./small-matrix.js";
