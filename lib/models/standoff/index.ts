export {
  type DriftFit,
  type DriftOptions,
  fitDrift,
} from "./drift.js";
export type { Estimate } from "./estimate.js";
export {
  type EventForecast,
  forecastStandoff,
  type StandoffForecast,
  type StandoffForecastOptions,
} from "./forecast.js";
export { type HoldingRise, holdingRise } from "./holding-rise.js";
export {
  DRIFT_BELIEFS,
  type Heating,
  type Regulation,
  type RegulationVerdict,
  type ScatterKind,
} from "./kinds.js";
export { type LayerReading, STANDOFF_BOUNDS, type StationSeries } from "./layer-log.js";
export type { OddReading } from "./odd-readings.js";
export type { PlainSlopes } from "./plain-slopes.js";
export type { DriftPosterior, KindChance, SlopePrior } from "./posterior.js";
export type { RigTraits } from "./traits.js";
