export {
  type CoolingReading,
  fitCooling,
  fitHeightLaw,
  type HeightLaw,
  timeConstantAt,
} from "./cooling.js";
export {
  type CoolingCourse,
  type CourseChance,
  coolingCourse,
  type UnbegunCourse,
} from "./cooling-course.js";
export { type CoolingSlip, coolingSlips, HOTTEST_READING } from "./cooling-slips.js";
export type { CourseReadings, CourseTraits } from "./course-filter.js";
export { COURSE_BELIEFS, type CourseFloor, type CourseLaw } from "./course-kinds.js";
export type { DecayForm, DecayScatter } from "./decay-model.js";
export { type Dwell, dwellTo } from "./dwell.js";
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
