export { cautionsFor } from "./cautions.js";
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
