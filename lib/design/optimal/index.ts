export { fillRow } from "./draft.js";
export type { Criterion } from "./information.js";
export { optimalCandidates } from "./optimal.js";
