export { absurdity, arcFindings } from "./arc.js";
export { type CheckedStudy, checkStudy, type StudyCheck } from "./check-study.js";
export { type Confounding, confounding } from "./confounding.js";
export {
  aspectRange,
  type MassBalance,
  massBalances,
} from "./mass-balance.js";
export { type DropOut, dropOuts, type StrayReading, strayReadings } from "./readings.js";
export { groupBySettings, type PureError, pureErrors } from "./repeats.js";
export { type UnitHypothesis, unitHypotheses } from "./unit-slip.js";
