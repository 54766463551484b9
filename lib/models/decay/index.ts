export {
  type CoolingReading,
  type Dwell,
  dwellTo,
  fitCooling,
  fitHeightLaw,
  type HeightLaw,
  timeConstantAt,
} from "./cooling.js";
export type { DecayForm, DecayScatter } from "./decay-model.js";
export {
  type FittedPurge,
  fitPurge,
  type OxygenReading,
  type PurgedEnclosure,
  type PurgeWait,
  purgeWait,
  requireOxygen,
} from "./purging.js";
export type { LevelTime } from "./time-to-level.js";
export type { DecayFit, DecayKind, DecayRange, FittedDecay, UnfittedDecay } from "./types.js";
