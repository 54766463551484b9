export {
  type ComparisonOptions,
  compareGroups,
  type GroupComparison,
  type PassComparison,
} from "./compare-groups.js";
export { compareStudies, type StudyComparison } from "./compare-studies.js";
export type { AllowedFor, OtherBlocks } from "./group-shift.js";
export { blockGroups, type CouponGroups, changeGroups } from "./groups.js";
export type { ResponseShift, ShiftVerdict } from "./response-shift.js";
export type { EffectComparison, StudyEffect } from "./study-effects.js";
export type { StudyFact } from "./study-facts.js";
