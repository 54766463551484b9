export {
  type Cell,
  COLUMNS_SCHEMA,
  type ColumnMap,
  draftColumnMap,
  type MappedColumn,
  type MappedTable,
  mapTable,
  parseColumnMap,
  type Range,
  readSheet,
  type Sheet,
  type SheetWanted,
} from "../foreign/index.js";
export type { RenamedThing } from "../journal/index.js";
export { type LostEntry, type Recovery, recoverStudy } from "../record/index.js";
export { type MergeOptions, mergeStudy, type StudyMerge } from "./merge-study.js";
export { openSharedStudy, parseSharedStudy } from "./open-share.js";
export {
  type PrivatePart,
  privateParts,
  SHARE_SCHEMA,
  type SharedEntry,
  type SharedStudy,
  shareStudy,
} from "./share-study.js";
