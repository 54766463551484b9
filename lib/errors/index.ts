export { asTyped } from "./as-typed.js";
export {
  BeadbenchError,
  type ErrorCode,
  errorFromIssues,
  formatIssue,
  formatIssues,
  type Issue,
} from "./error.js";
export type { Finding } from "./finding.js";
export { grouped } from "./grouped.js";
export { type NumberBounds, requireCount, requireNumber, requireThat } from "./guards.js";
export { jsonLine } from "./json-line.js";
export { isNestedTooDeep } from "./nesting.js";
export { onlyDefined } from "./only-defined.js";
export { ownValue } from "./own-value.js";
export { parseJson } from "./parse-json.js";
export { refusalOf, valueUnless } from "./refusal.js";
export { type ReadJson, schemaIssues } from "./schema-issues.js";
export { shownValue } from "./shown-value.js";
