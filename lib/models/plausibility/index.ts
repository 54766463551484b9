export { arcFindings } from "./arc.js";
export { type CheckedStudy, checkStudy, type StudyCheck } from "./check-study.js";
export { type Confounding, confounding } from "./confounding.js";
export {
  aspectRange,
  type MassBalance,
  massBalances,
} from "./mass-balance.js";
export type { PenSlip } from "./pen-slips.js";
export { type DropOut, dropOuts, type StrayReading, strayReadings } from "./readings.js";
export { groupBySettings, type PureError, pureErrors } from "./repeats.js";
export type { SettingSlip } from "./setting-slips.js";
export type { Slips } from "./slip-findings.js";
export type { StationSlip } from "./station-slips.js";
export { type UnitHypothesis, unitHypotheses } from "./unit-slip.js";
export type { VerdictSlip } from "./verdict-slips.js";
