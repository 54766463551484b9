export type { RenamedThing } from "../journal/index.js";
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
