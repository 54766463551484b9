export { sliceStep } from "./elliptical-slice.js";
export { type RandomStream, randomStream } from "./random.js";
export { SOBOL_MAX_DIMENSIONS, sobolPoints } from "./sobol.js";
