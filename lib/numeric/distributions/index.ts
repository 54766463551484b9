export {
  betaCdf,
  betaQuantile,
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  logGamma,
  normalCdf,
  normalPdf,
  normalQuantile,
  tCdf,
  tQuantile,
} from "./distributions.js";
export {
  noncentralFCdf,
  noncentralFQuantile,
  noncentralTCdf,
  noncentralTQuantile,
} from "./noncentral.js";
