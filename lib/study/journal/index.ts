export { bodyFaults } from "./body-shape.js";
export { canonicalJson } from "./canonical-json.js";
export { type Clock, systemClock } from "./clock.js";
export { digest } from "./digest.js";
export { makeFolder, replaceFile, syncFile, writeNewFile } from "./disk.js";
export { applyCorrection, type CouponEntry, effectiveEntries, isCouponEntry } from "./effective-entry.js";
export { foldedName, hashedName, portableName } from "./file-name.js";
export type {
  AttachedBody,
  BuildBody,
  ChangeBody,
  CorrectedBody,
  CouponRecord,
  Entry,
  EntryBody,
  EntrySeal,
  Exposure,
  IncidentBody,
  LoggedBody,
  NoteBody,
  PlannedBody,
  Values,
  VoidedBody,
} from "./journal-entry.js";
export { sealEntries } from "./journal-entry.js";
export {
  journalPath,
  linesText,
  type MergeText,
  readJournalFile,
  readMerged,
  setTornEndAside,
  tornName,
  tornNames,
  writeEntries,
  writeMerge,
} from "./journal-file.js";
export { isMergeLine, type MergedBody, type MergeLine, type SealedLine } from "./journal-line.js";
export { withLock } from "./lock.js";
export type { MergedEntries, RenamedThing } from "./merged-entries.js";
export type { JournalFault, JournalReading } from "./read-journal.js";
export { soundEntries } from "./read-journal.js";
export { type JournalCheck, verifyJournal } from "./verify-journal.js";
