export { mean, median, quantile, robustStandardDeviation, standardDeviation } from "./descriptive.js";
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
export { type RandomStream, randomStream } from "./random.js";
