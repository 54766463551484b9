export { fitLinear, type LinearOptions, type Prior } from "./linear.js";
export { linearModel } from "./linear-model.js";
