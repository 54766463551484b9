export type { KeyFigure, ReportChart, ReportDocument, ReportSection, ReportTable } from "./document.js";
export { renderReport } from "./page.js";
export type { StudyResults } from "./results.js";
export { composeStudyReport } from "./study-report.js";
