export { type CoefficientPrior, fitLinear, type LinearOptions } from "./linear.js";
export { linearModel } from "./linear-model.js";
