export { descend } from "./descend.js";
export { detectLinear } from "./detect-linear.js";
export { type ErrorKind, type ErrorModel, type ErrorModelFit, fitWithErrorModel } from "./error-model.js";
export { fitNonlinear, type NonlinearOptions } from "./nonlinear.js";
export { polish } from "./polish.js";
export { SeparableProblem } from "./separable.js";
