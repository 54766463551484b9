import { errorFromIssues, type Issue, ownValue } from "../../errors/index.js";
import { rounds } from "../../numeric/figures/index.js";
import { headed } from "../../units/index.js";
import { parseNumber, textCell } from "../csv/index.js";
import type { ColumnMap, MappedColumn } from "./column-map.js";
import { type Cell, columnIndex, columnLetters, type Sheet } from "./sheet.js";

/** A foreign table in the words of a study. */
export interface MappedTable {
  /** CSV as `importCsv` reads it: rows stand on the lines of their number in the table. */
  readonly csv: string;
  /** Headings that the map does not name, which were left out. */
  readonly leftOut: readonly string[];
}

interface Placed extends MappedColumn {
  readonly to: string;
  readonly index: number;
}

/**
 * Puts a foreign table into the words of a study, by a column map: names, units, decimal marks, dates and words translated, constant
 * columns added.
 *
 * @throws {BeadbenchError} `bad-csv` listing, with sheet and cell, headings that are missing or stand twice, errors, formulas without a
 *   value, merged cells, and what is no number or date
 */
export function mapTable(sheet: Sheet, map: ColumnMap): MappedTable {
  const issues: Issue[] = [];
  const columns = placedColumns(sheet, map, issues);
  if (issues.length > 0) throw refusal(issues);
  const constant = Object.entries(map.constant ?? {});
  const lines: string[] = [];
  lines[map.headerRow - 1] = [
    ...columns.map(({ to, unit }) => textCell(unit === undefined ? to : headed(to, unit))),
    ...constant.map(([name]) => textCell(name)),
  ].join(",");
  const skipped = new Set(map.skipRows ?? []);
  const filled = fillMerged(sheet, map, columns);
  for (const [row, cells] of filled.rows) {
    if (row <= map.headerRow || row > (map.lastRow ?? row) || skipped.has(row)) continue;
    if (!columns.some(({ index }) => cells.has(index))) continue;
    const texts = columns.map((column) =>
      cellText({ sheet, map, column, row, cell: cells.get(column.index), issues }),
    );
    lines[row - 1] = [...texts, ...constant.map(([, text]) => text)].map(written).join(",");
  }
  issues.push(...filled.issues);
  if (issues.length > 0) throw refusal(issues);
  const named = new Set(map.columns.map(({ from }) => from));
  return {
    csv: `${Array.from(lines, (line) => line ?? "").join("\n")}\n`,
    leftOut: [...(sheet.rows.get(map.headerRow)?.values() ?? [])]
      .map(({ text }) => text.trim())
      .filter((title) => !named.has(title)),
  };
}

/** Rows are told apart by their lines. */
const written = (text: string): string => textCell(text.replace(/[\r\n]+/g, " "));

const refusal = (issues: readonly Issue[]): Error =>
  errorFromIssues("bad-csv", "nothing was imported:", issues);

/** How a cell is called: C7 in a workbook, line and heading in a CSV file. */
const placeOf = (
  sheet: Sheet,
  row: number,
  column: Pick<Placed, "index" | "from">,
): Pick<Issue, "file" | "line" | "column"> =>
  sheet.lettered
    ? { file: sheet.place, column: `${columnLetters(column.index)}${row}` }
    : { file: sheet.place, line: row, column: column.from };

function placedColumns(sheet: Sheet, map: ColumnMap, issues: Issue[]): readonly Placed[] {
  const header = [...(sheet.rows.get(map.headerRow) ?? [])].map(([index, { text }]) => ({
    index,
    title: text.trim(),
  }));
  const all = header.map(({ title }) => `"${title}"`).join(", ");
  const at = { file: sheet.place, line: map.headerRow };
  if (header.length === 0) {
    issues.push({ ...at, message: "holds no heading; mend headerRow in the column map" });
    return [];
  }
  const placed = map.columns.flatMap((column): Placed[] => {
    const { from, to } = column;
    if (to === null) return [];
    const found = header.filter(
      ({ index, title }) =>
        title === from.trim() && (column.column === undefined || index === columnIndex(column.column)),
    );
    const [one, ...others] = found;
    if (one !== undefined && others.length === 0) return [{ ...column, to, index: one.index }];
    const message =
      one === undefined
        ? `no column is headed so${column.column === undefined ? "" : ` under ${column.column}`}; there are ${all}`
        : `stands over columns ${found.map(({ index }) => columnLetters(index)).join(", ")}; say which by "column" in the map`;
    issues.push({ ...at, column: from, message });
    return [];
  });
  if (placed.length === 0 && issues.length === 0)
    issues.push({
      ...at,
      message: 'none of the columns is named in the map; give those to be read a name by "to"',
    });
  for (const [i, { to, from }] of placed.entries())
    if (placed.findIndex((other) => other.to === to) < i)
      issues.push({
        ...at,
        column: from,
        message: `two columns become ${to}; leave one out by "to": null, or number stations ${to}_1, ${to}_2`,
      });
  return placed;
}

/** Merged cells hold one value, in their first cell: what that says of the other rows only the user knows. */
function fillMerged(
  sheet: Sheet,
  map: ColumnMap,
  columns: readonly Placed[],
): { readonly rows: Sheet["rows"]; readonly issues: readonly Issue[] } {
  const rows = new Map([...sheet.rows].map(([row, cells]) => [row, new Map(cells)]));
  const issues: Issue[] = [];
  for (const { top, left, bottom, right } of sheet.merged) {
    if (bottom <= map.headerRow || top > (map.lastRow ?? top)) continue;
    const met = columns.filter(({ index }) => index >= left && index <= right);
    if (met.length === 0) continue;
    const range = `${columnLetters(left)}${top}:${columnLetters(right)}${bottom}`;
    if (left < right || met[0]!.fill !== true) {
      const mend = left < right ? "" : ', or say "fill": true of this column in the map';
      issues.push({
        file: sheet.place,
        column: range,
        message: `cells are merged: part them and fill each${mend}`,
      });
      continue;
    }
    const value = rows.get(top)?.get(left);
    // Rows that hold nothing else are no coupons.
    if (value === undefined) continue;
    for (const [row, cells] of rows) if (row > top && row <= bottom) cells.set(left, value);
  }
  return { rows, issues };
}

function cellText({
  sheet,
  map,
  column,
  row,
  cell,
  issues,
}: {
  readonly sheet: Sheet;
  readonly map: ColumnMap;
  readonly column: Placed;
  readonly row: number;
  readonly cell: Cell | undefined;
  readonly issues: Issue[];
}): string {
  if (cell === undefined) return "";
  const bad = (message: string, got?: string): string => {
    issues.push({ ...placeOf(sheet, row, column), message, ...(got === undefined ? {} : { got }) });
    return "";
  };
  const text = cell.text.trim();
  const word = ownValue(column.values, text);
  if (word !== undefined) return word;
  switch (cell.kind) {
    case "error":
      return bad("holds an error; mend the formula, or clear the cell where nothing was measured", text);
    case "unsaved":
      return bad(
        "holds a formula whose value was never saved; open the file in a spreadsheet program and save it",
      );
    case "no-date":
      return bad("shows a number as a date that no calendar has", text);
    case "date":
      return column.unit === undefined
        ? text
        : bad(
            `holds a date where a number in ${column.unit} is wanted; the cell's format turned it into one`,
            text,
          );
    case "truth":
      return text;
    case "number":
      return String(rounds(Number(text), 15));
    default:
      return column.unit === undefined ? dated(text, map.dates) : numberText(text, map.decimal, bad);
  }
}

/** A number that stands as text; one with a unit behind it is read as such later. */
function numberText(
  text: string,
  decimal: ColumnMap["decimal"],
  bad: (message: string, got: string) => string,
): string {
  if (decimal === undefined && /,/.test(text))
    return bad('is text with a comma; say in the map which mark it is: "decimal": "," or "."', text);
  const found = parseNumber(text, decimal ?? ".");
  if (typeof found === "number") return String(found);
  const [number, unit] = [
    /^[-+\u2212]?[\d.,\s]*\d/.exec(text)?.[0] ?? "",
    text.replace(/^[-+\u2212]?[\d.,\s]*\d/, ""),
  ];
  const value = parseNumber(number, decimal ?? ".");
  return typeof value === "number" && unit.trim() !== "" ? `${value}${unit}` : bad(found, text);
}

const ORDERS = {
  "year-month-day": [1, 2, 3],
  "day-month-year": [3, 2, 1],
  "month-day-year": [3, 1, 2],
} as const;

/** A date as ISO 8601 where the map says in which order dates stand; other text as it is. */
function dated(text: string, order: ColumnMap["dates"]): string {
  const found = /^(\d{1,4})[./-](\d{1,2})[./-](\d{1,4})$/.exec(text);
  if (order === undefined || found === null) return text;
  const [year, month, day] = ORDERS[order].map((at) => found[at]!) as [string, string, string];
  const whole = year.length === 2 ? `20${year}` : year;
  const iso = `${whole.padStart(4, "0")}-${month.padStart(2, "0")}-${day.padStart(2, "0")}`;
  return new Date(`${iso}T00:00:00Z`).toJSON()?.startsWith(iso) === true ? iso : text;
}
