export {
  brief,
  fixed,
  fRatioText,
  levelPercent,
  percent,
  rounds,
  settingDigits,
  significant,
} from "./format.js";
export { counted, inWords, sentence } from "./words.js";
