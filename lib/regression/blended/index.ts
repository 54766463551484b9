export { type BlendedFit, type BlendedOptions, fitBlended } from "./blended.js";
export { type BlendedColumns, type BlendedPoint, type BlendedRows, blendedColumns } from "./blended-data.js";
export { type BlendedLeftOut, blendedLeftOut } from "./blended-left-out.js";
export { type BlendedPrediction, blendedDf, predictBlended } from "./blended-predict.js";
export type { Slip } from "./slips.js";
export { stackingWeights } from "./stacking.js";
