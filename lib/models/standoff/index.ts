export {
  type DriftFit,
  type DriftOptions,
  type Estimate,
  fitDrift,
  type RegulationVerdict,
  WEAK_SLOPE_PRIOR,
} from "./drift.js";
export {
  type EventForecast,
  forecastStandoff,
  type StandoffForecast,
  type StandoffForecastOptions,
} from "./forecast.js";
export { type HoldingRise, holdingRise } from "./holding-rise.js";
export type { LayerReading, StationSeries } from "./layer-log.js";
export type { PlainSlopes } from "./plain-slopes.js";
export type { SlopePosterior, SlopePrior } from "./slope-posterior.js";
