export { type CurveData, type CurveFit, type CurveOptions, fitCurve } from "./fit-curve.js";
export { predictCurve } from "./predict-curve.js";
