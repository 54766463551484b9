export {
  comparePresets,
  type Foretold,
  type PredictionPair,
  type PresetComparison,
  type SettingPair,
} from "./compare-presets.js";
export { drawPresetComparison } from "./draw-comparison.js";
export {
  type FormInputs,
  type PresetForm,
  type PresetFormat,
  presetCsv,
  presetFormats,
  presetNgc,
  presetThroughTemplate,
  type WrittenPreset,
  writePreset,
} from "./forms/index.js";
export { MACHINE_SCHEMA, type MachineMap, machineJsonSchema, parseMachineMap } from "./machine/index.js";
export {
  cautionsFor,
  doubtMark,
  formatPreset,
  makePreset,
  PRESET_SCHEMA,
  type Preset,
  type PresetBasis,
  type PresetLimit,
  type PresetPrediction,
  type PresetRange,
  type PresetSchedule,
  type PresetSetting,
  parsePreset,
  parseSchedule,
  presetDoubts,
  presetJsonSchema,
  requireProven,
  rigCautions,
  type SequenceStep,
  type StartStop,
  withSchedule,
} from "./preset/index.js";
