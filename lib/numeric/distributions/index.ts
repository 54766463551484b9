export {
  betaCdf,
  betaQuantile,
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  normalCdf,
  normalPdf,
  normalQuantile,
  tCdf,
  tQuantile,
} from "./distributions.js";
export { logGamma } from "./log-gamma.js";
export {
  noncentralFCdf,
  noncentralFQuantile,
  noncentralTCdf,
  noncentralTQuantile,
} from "./noncentral.js";
