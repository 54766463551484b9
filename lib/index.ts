export { BeadbenchError, type ErrorCode, type Finding, formatIssue, type Issue } from "./errors/index.js";
