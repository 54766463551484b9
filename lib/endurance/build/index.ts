export {
  type AssumptionName,
  type Assumptions,
  assume,
  assumptionNames,
  usualAssumptions,
} from "./assumptions.js";
export {
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  isLevelled,
  type PlannedLayer,
  type PlannedStandoff,
  planLayer,
  planSupplies,
} from "./build-plan.js";
export { FINISH_BELIEFS, type FinishBeliefs, type FinishLaw, type FinishTrend } from "./finish-beliefs.js";
export { type FinishChance, finishChance, type TriedBuild } from "./finish-model.js";
export {
  type BuildForecast,
  type CostLine,
  forecastBuild,
  type Improvement,
  runningAhead,
} from "./forecast-build.js";
export type { BuildLimit, LimitState } from "./limits.js";
export { checkOutline, equalLayers, MOST_LAYERS, type OutlineLayer, type PartOutline } from "./outline.js";
export { type BuildRisks, buildRisks, type CauseAhead, PLANNED_TOUCH, UNSEEN } from "./risks.js";
export {
  type BuildSetting,
  buildSupplies,
  type LayerNeed,
  type LayerSetting,
  type Supplies,
} from "./supplies.js";
export { NO_TOUCH, type TouchRisk, touchRisk } from "./touch-risk.js";
