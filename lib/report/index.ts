export type { KeyFigure, ReportChart, ReportDocument, ReportSection, ReportTable } from "./document.js";
export { renderReport } from "./page.js";
