export {
  type Axis,
  centrePoint,
  codedFromSettings,
  type DesignFactor,
  makeAxes,
  nearestLevel,
  type Point,
  pointFromCoded,
  type Settings,
  settingsOf,
} from "./factor.js";
export { requireAllowedPoint } from "./infeasible.js";
export { brokenLimits, type DesignLimit, makeRegion, meetsLimits, type Region } from "./limit.js";
export { allowedSpan, randomAllowedPoint, spreadAllowedPoints } from "./sample-region.js";
export { type Survival, survivalAt } from "./survival.js";
