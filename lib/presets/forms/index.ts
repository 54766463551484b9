export type { WrittenPreset } from "./lost.js";
export { presetCsv } from "./preset-csv.js";
export {
  type FormInputs,
  type PresetForm,
  type PresetFormat,
  presetFormats,
  writePreset,
} from "./preset-forms.js";
export { presetNgc } from "./preset-ngc.js";
export { presetThroughTemplate } from "./preset-template.js";
