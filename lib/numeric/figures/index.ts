export {
  brief,
  counted,
  fixed,
  fRatioText,
  inWords,
  levelPercent,
  percent,
  rounds,
  sentence,
  settingDigits,
  significant,
} from "../format/index.js";
export { mean, median, quantile, robustStandardDeviation, standardDeviation } from "./descriptive.js";
