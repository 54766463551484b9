export {
  ATTACHMENTS,
  type AttachOptions,
  attachFile,
  keepFile,
  requireInside,
  verifyAttachments,
} from "./attach-file.js";
export { contextUnits } from "./context-units.js";
export { type CorrectionChange, correctionOf } from "./correction.js";
export type { Coupon, DefinedStudy, StudyData } from "./coupon.js";
export { couponsOf } from "./coupons-of.js";
export { dayBlocks, dayOfLogging } from "./day-of-logging.js";
export { journalCopies } from "./journal-copies.js";
export { keptOf } from "./kept-coupons.js";
export {
  CouponNumbers,
  type Known,
  type KnownCoupon,
  knownCoupons,
  recordColumns,
  remember,
  sameKnown,
  wasLogged,
} from "./known-coupons.js";
export { prepareEntries } from "./prepare-entries.js";
export { type LostEntry, type Recovery, recoverStudy } from "./recover-study.js";
export type { BuildStep, Change, Incident, Note } from "./replay.js";
export { requireCoupons } from "./require-coupons.js";
export {
  cellOf,
  type GradeResult,
  isGood,
  type KindCases,
  type MeasuredResult,
  matchKind,
  measuredOf,
  measuredResults,
  type PassFailResult,
  type Result,
  resultOf,
  type Scatter,
  scatterOf,
  type WithResults,
} from "./result.js";
export {
  appendEntries,
  createStudy,
  DEFAULT_WAIT_MS,
  now,
  openStudy,
  readDefinition,
  type Study,
  studyFrom,
  type WriteOptions,
} from "./study.js";
