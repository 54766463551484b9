export type { RenamedThing } from "../journal/index.js";
export { type MergeOptions, mergeStudy, type StudyMerge } from "./merge-study.js";
