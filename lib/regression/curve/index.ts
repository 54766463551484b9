export { type CurveData, type CurveFit, type CurveOptions, fitCurve } from "./fit-curve.js";
