export {
  COLUMNS_SCHEMA,
  type ColumnMap,
  columnMapJsonSchema,
  type MappedColumn,
  parseColumnMap,
} from "./column-map.js";
export { draftColumnMap } from "./draft-map.js";
export { type MappedTable, mapTable } from "./map-table.js";
export { readSheet, type SheetWanted } from "./read-sheet.js";
export type { Cell, Range, Sheet } from "./sheet.js";
export { isWorkbook } from "./workbook.js";
