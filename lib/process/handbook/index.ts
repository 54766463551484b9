export { type ArcProcess, arcProcessOf } from "./arc-process.js";
export { type BoundedSetting, isBoundedSetting, requireSetting, settingUnit } from "./bounds.js";
export { checkSetting, type LoggedSetting } from "./plausibility.js";
export {
  type Basis,
  type Override,
  overridden,
  type SourcedValue,
  sourced,
  withOverrides,
} from "./sourced.js";
