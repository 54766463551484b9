export {
  type BoundedSetting,
  bounds,
  isBoundedSetting,
  isPossibleSetting,
  requireSetting,
  type SettingBounds,
  settingUnit,
} from "./bounds.js";
export { standardGravity } from "./gravity.js";
export {
  type ArcHeat,
  type ArcProcess,
  arcOf,
  type BeamHeat,
  type ProcessFacts,
  type ProcessFamily,
  processExamples,
  processes,
  processFacts,
  processFamilies,
  processOf,
  type ShadeRow,
} from "./processes.js";
export {
  type Override,
  overridden,
  type SourcedValue,
  type Standing,
  sourced,
  withOverrides,
} from "./sourced.js";
export { type UsualRange, usualRange } from "./usual-ranges.js";
