export { type AttachOptions, attachFile, verifyAttachments } from "./attach-file.js";
export { canonicalJson } from "./canonical-json.js";
export { type Clock, systemClock } from "./clock.js";
export { type Column, findColumn, isNumeric, isPlainNumber } from "./column.js";
export { type CorrectionChange, correctionOf } from "./correction.js";
export type { Coupon, Scatter } from "./coupon.js";
export { type CouponSource, couponTable, type ResponseSummary, summariseResponses } from "./coupon-table.js";
export { textCell } from "./csv-guard.js";
export type { DecimalMark } from "./csv-number.js";
export type { Separator } from "./csv-text.js";
export { decodeText } from "./decode-text.js";
export {
  type Base,
  type Costs,
  type Factor,
  type Gas,
  type Limit,
  type LinearLimit,
  type Quantity,
  type QuantityLimit,
  type Response,
  type Rig,
  type Spec,
  STUDY_SCHEMA,
  type StudyDefinition,
  type Wire,
} from "./definition.js";
export { createDemoStudy, demoDefinition, demoEvents } from "./demo-study.js";
export { type DraftDefinition, type DraftOptions, draftDefinitionFromCsv } from "./draft-definition.js";
export { applyEvent, parseEvents, type StudyEvent } from "./event-script.js";
export { type ExportOptions, exportCsv } from "./export-csv.js";
export { type CsvImport, type ImportOptions, importCsv } from "./import-csv.js";
export type {
  AttachedBody,
  ChangeBody,
  CorrectedBody,
  CouponRecord,
  Entry,
  EntryBody,
  EntrySeal,
  IncidentBody,
  LoggedBody,
  NoteBody,
  PlannedBody,
  Values,
  VoidedBody,
} from "./journal-entry.js";
export { nearestName } from "./nearest-name.js";
export { parseStudyDefinition } from "./parse-definition.js";
export type { JournalFault } from "./read-journal.js";
export { readTable, type TableColumn, type TableRow } from "./read-table.js";
export type { Change, Incident, Note } from "./replay.js";
export type { SkippedRow } from "./rows-to-entries.js";
export { scratchFolder } from "./scratch-folder.js";
export {
  appendEntries,
  createStudy,
  openStudy,
  type Study,
  type WriteOptions,
} from "./study.js";
export { type JournalCheck, verifyJournal } from "./verify-journal.js";
