export { mean, median, quantile, robustStandardDeviation, standardDeviation } from "./descriptive.js";
export { brief, fixed, levelPercent, percent, rounds, settingDigits, significant } from "./format.js";
