export { cautionsFor } from "./cautions.js";
export {
  comparePresets,
  type Foretold,
  type PredictionPair,
  type PresetComparison,
  type SettingPair,
} from "./compare-presets.js";
export { drawPresetComparison } from "./draw-comparison.js";
export {
  formatPreset,
  makePreset,
  PRESET_SCHEMA,
  type Preset,
  type PresetSetting,
  parsePreset,
  presetJsonSchema,
} from "./preset.js";
export { presetCsv } from "./preset-csv.js";
export { type PresetFormat, presetFormats } from "./preset-formats.js";
