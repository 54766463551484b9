export { type BoundedSetting, isBoundedSetting, requireSetting, settingUnit } from "./bounds.js";
export {
  type ArcProcess,
  arcOf,
  type ProcessFamily,
  processes,
  processFacts,
  processFamilies,
  processOf,
  type ShadeRow,
} from "./processes.js";
export {
  type Basis,
  type Override,
  overridden,
  type SourcedValue,
  sourced,
  withOverrides,
} from "./sourced.js";
