export { type AroundChange, aroundChanges } from "./around-change.js";
export { couponsToTell } from "./coupons-to-tell.js";
export { exposureOfCause } from "./exposure-of-cause.js";
export {
  type ArcSurvival,
  growthOfIncidents,
  type IncidentGrowth,
  survivalOfBuilds,
} from "./growth-of-incidents.js";
export { type IncidentSetting, type IncidentSettings, incidentSettings } from "./incident-settings.js";
export {
  type CauseRecord,
  type IncidentJudgement,
  type IncidentOptions,
  judgeIncidents,
} from "./judge-incidents.js";
