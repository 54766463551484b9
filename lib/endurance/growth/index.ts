export { type ArcRun, arcSurvival, fitWeibull, type SurvivalStep, type WeibullFit } from "./arc-survival.js";
export { type CountedAttempts, fitGroupedGrowth, type GroupedGrowth } from "./grouped.js";
export {
  type BoundedEstimate,
  type EventTimes,
  FEWEST_GROWTH_EVENTS,
  fitGrowth,
  type GrowthFit,
  type GrowthGoodness,
  growthGoodness,
  type TrendTest,
  trendTest,
} from "./power-law.js";
