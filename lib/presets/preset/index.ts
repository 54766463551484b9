export { cautionsFor, MOTION_CAUTION, rigCautions } from "./cautions.js";
export { type Doubtful, doubtMark, isOutside, presetDoubts, requireProven } from "./doubts.js";
export { makePreset, markedPreset, studySequence, withSchedule } from "./make-preset.js";
export {
  PRESET_SCHEMA,
  type Preset,
  type PresetBasis,
  type PresetLimit,
  type PresetPrediction,
  type PresetRange,
  type PresetSchedule,
  type PresetSetting,
} from "./preset.js";
export { formatPreset, parsePreset, parseSchedule, presetJsonSchema } from "./read-preset.js";
export { isSequenceName, type SequenceStep, type StartStop } from "./sequence.js";
