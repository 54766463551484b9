import { errorFromIssues, type Issue, onlyDefined, ownValue, refusalOf } from "../../errors/index.js";
import { isUnit, sameDimension } from "../../units/index.js";
import { toStudyUnit } from "../definition/index.js";
import { splitHeader } from "./csv-header.js";
import {
  carriesUnit,
  type DecimalMark,
  parseCell,
  parseNumber,
  parseYesNo,
  tellDecimalMark,
} from "./csv-number.js";
import { readCsvText } from "./csv-text.js";

/** A column wanted from a table of readings. */
export interface TableColumn {
  readonly name: string;
  /** Unit in which the numbers are wanted; any unit of its kind converts. `text` for words, `yes/no` for 1 and 0. */
  readonly unit: string;
  /** The column may be missing, and its cells empty. */
  readonly optional?: boolean;
  /** Throws for a value that cannot be; its message is listed with line and column. */
  readonly check?: (value: number) => unknown;
}

/** Where a table comes from, and what its numbers look like. */
export interface TableSource {
  /** File name shown in messages. */
  readonly file?: string | undefined;
  /** Decimal mark, for a file from which it cannot be told. */
  readonly decimal?: DecimalMark | undefined;
}

/** One row of a table: numbers and words by column name; an empty cell has no key. */
export type TableRow = Readonly<Record<string, number | string>>;

/** A row with its 1-based line in the file, to name it by. */
export interface NumberedRow {
  readonly line: number;
  readonly row: TableRow;
}

/**
 * The columns a table of readings has, by name, each in the unit its heading states; "1" where it states none.
 *
 * @throws {BeadbenchError} `bad-csv` for a file without a header row
 */
export function tableColumns(
  input: string | Uint8Array,
  file?: string,
): readonly Pick<TableColumn, "name" | "unit">[] {
  const text = readCsvText(input);
  if ("issues" in text) throw refusal(text.issues, file);
  return text.header.map((title) => {
    const { name, unit = "1" } = splitHeader(title);
    return { name, unit };
  });
}

const refusal = (issues: readonly Issue[], file: string | undefined): Error =>
  errorFromIssues(
    "bad-csv",
    "the table cannot be used:",
    issues.map((issue) => (file === undefined ? issue : { file, ...issue })),
  );

/**
 * Reads a table of readings (layer log, section points, calibration) from CSV: columns as `name [unit]`, the same
 * separators, decimal marks and encodings as coupons; columns not wanted help to tell the mark. A column without unit may say it in
 * each cell. Other columns are left alone.
 *
 * @throws {BeadbenchError} `bad-csv` listing every fault with line and column
 */
export const readTable = (
  input: string | Uint8Array,
  columns: readonly TableColumn[],
  source: TableSource = {},
): readonly TableRow[] => readNumberedTable(input, columns, source).rows.map(({ row }) => row);

/** Rows with their lines, and the units that the headings of wanted columns state. */
export interface NumberedTable {
  readonly rows: readonly NumberedRow[];
  /** By column; no key where the heading states none. */
  readonly stated: Readonly<Record<string, string>>;
}

/**
 * As {@link readTable}, with the line of each row, for a caller who may have to say that rows do not agree, and with the
 * units that were typed.
 *
 * @throws {BeadbenchError} `bad-csv` listing every fault with line and column
 */
export function readNumberedTable(
  input: string | Uint8Array,
  columns: readonly TableColumn[],
  { file, decimal }: TableSource = {},
): NumberedTable {
  const refuse = (issues: readonly Issue[]): Error => refusal(issues, file);
  const text = readCsvText(input);
  if ("issues" in text) throw refuse(text.issues);
  const issues: Issue[] = [];
  const found = columns.flatMap((column) => {
    const named = (title: string): boolean => splitHeader(title).name === column.name;
    const index = text.header.findIndex(named);
    const twin = text.header.findLastIndex(named);
    if (twin > index) {
      issues.push({
        line: text.headerLine,
        column: text.header[twin]!,
        message: `the column stands twice (also "${text.header[index]}"); remove one`,
      });
      return [];
    }
    if (index < 0) {
      if (column.optional !== true) {
        issues.push({
          line: text.headerLine,
          column: column.name,
          message: `is missing; name a column ${isNumber(column) ? `${column.name} [${column.unit}]` : column.name}`,
        });
      }
      return [];
    }
    const stated = splitHeader(text.header[index]!).unit ?? (column.unit === "1" ? "1" : undefined);
    const inCells = stated === undefined && text.rows.some(({ cells }) => carriesUnit(cells[index] ?? ""));
    if (isNumber(column) && !inCells && !isLike(stated, column.unit)) {
      issues.push({
        line: text.headerLine,
        column: text.header[index]!,
        message: `needs a unit like ${column.unit}: write ${column.name} [${column.unit}]`,
      });
      return [];
    }
    return [{ ...column, index, stated }];
  });
  if (issues.length > 0) throw refuse(issues);
  const numeric = found.filter(isNumber);
  const { mark, doubt } = tellDecimalMark(
    text,
    numeric.map(({ index }) => index),
    decimal,
  );
  if (doubt !== undefined) issues.push(doubt);
  const rows = text.rows.map(({ line, cells }) => {
    // Headed by words of the file: a column may be called __proto__.
    const row: Record<string, number | string> = Object.create(null);
    for (const { name, unit, stated, index, optional, check } of found) {
      const cell = (cells[index] ?? "").trim();
      if (cell === "") {
        if (optional !== true)
          issues.push({ line, column: name, message: "is empty; a value is needed here" });
        continue;
      }
      if (unit === "text") {
        row[name] = cell;
        continue;
      }
      const value = unit === "yes/no" ? yesNo(cell) : numberIn({ unit, stated, cell, mark });
      if (typeof value === "string") {
        issues.push({ line, column: name, got: cell, message: value });
        continue;
      }
      row[name] = value;
      const fault =
        check === undefined ? undefined : refusalOf(() => check(Number(ownValue(row, name))))?.message;
      if (fault !== undefined)
        issues.push({ line, column: name, message: fault, ...(stated === unit ? {} : { got: cell }) });
    }
    return { line, row };
  });
  if (issues.length > 0) throw refuse(issues);
  const stated = found.flatMap((column) =>
    column.stated === undefined ? [] : [[column.name, column.stated] as const],
  );
  return { rows, stated: Object.fromEntries(stated) };
}

const isNumber = ({ unit }: TableColumn): boolean => unit !== "text" && unit !== "yes/no";

/** A unit of one's own, such as `px`, is like itself alone. */
const isLike = (stated: string | undefined, unit: string): boolean =>
  stated === unit || (stated !== undefined && isUnit(stated) && sameDimension(stated, unit));

/** A cell in the unit wanted, by its own unit or the stated one. */
function numberIn({
  unit,
  stated,
  cell,
  mark,
}: {
  readonly unit: string;
  readonly stated: string | undefined;
  readonly cell: string;
  readonly mark: DecimalMark;
}): number | string {
  if (!isUnit(unit)) return parseNumber(cell, mark);
  const found = parseCell(cell, mark, onlyDefined({ like: unit, bare: stated }));
  return typeof found === "string" ? found : toStudyUnit(found.value, found.unit, unit);
}

function yesNo(cell: string): number | string {
  const word = parseYesNo(cell);
  return typeof word === "string" ? word : Number(word);
}
