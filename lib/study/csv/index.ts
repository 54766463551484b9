export { textCell } from "./csv-guard.js";
export { splitHeader } from "./csv-header.js";
export { type DecimalMark, parseNumber } from "./csv-number.js";
export type { WhyImpossible } from "./csv-row.js";
export { readCsvText, type Separator } from "./csv-text.js";
export { decodeText } from "./decode-text.js";
export { type DraftDefinition, type DraftOptions, draftDefinitionFromCsv } from "./draft-definition.js";
export { type ExportOptions, exportCsv } from "./export-csv.js";
export { type CsvImport, type ImportOptions, importCsv } from "./import-csv.js";
export { type PublishedTable, readPublishedTable } from "./published-table.js";
export {
  type NumberedRow,
  readNumberedTable,
  readTable,
  type TableColumn,
  type TableRow,
  type TableSource,
  tableColumns,
} from "./read-table.js";
export type { SkippedRow } from "./rows-to-entries.js";
