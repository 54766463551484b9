export { ATTENDED, buildPage } from "./build-page.js";
export {
  assumptionRows,
  attemptRow,
  causeHeadings,
  causeRows,
  chanceText,
  hoursText,
  limitRows,
  needsOf,
  standoffAheadText,
  USUAL_ORIGIN,
} from "./build-words.js";
export { chanceBasis } from "./chance-basis.js";
export type {
  KeyFigure,
  ReportChart,
  ReportClaim,
  ReportDocument,
  ReportSection,
  ReportTable,
} from "./document.js";
export type { ExplorerData } from "./explorer/index.js";
export { countedBy } from "./incident-sections.js";
export { renderReport } from "./page.js";
export {
  type ProcedureLine,
  type ProcedurePart,
  type ProcedureSheet,
  procedureSheet,
} from "./procedure-sheet.js";
export { renderProcedureSheet } from "./procedure-sheet-page.js";
export type { StudyResults } from "./results.js";
export { resumeSheet } from "./resume-sheet.js";
export {
  type RunSheet,
  runSheet,
  type SheetBox,
  type SheetCard,
  type SheetSetting,
  type SheetTotals,
  totalsText,
} from "./run-sheet.js";
export { type Paper, papers, renderRunSheet, STATIONS } from "./run-sheet-page.js";
export { composeStudyReport } from "./study-report.js";
