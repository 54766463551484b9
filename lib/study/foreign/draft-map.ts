import { BeadbenchError } from "../../errors/index.js";
import { splitHeader } from "../csv/index.js";
import { type Column, findColumn, isNumeric, type StudyDefinition, tradeName } from "../definition/index.js";
import { COLUMNS_SCHEMA, type ColumnMap, type MappedColumn } from "./column-map.js";
import { type Cell, columnLetters, type Sheet } from "./sheet.js";

/** Columns that a table of coupons has for itself. */
const OWN = ["coupon", "run_order", "role", "state", "note", "time"];

/**
 * A column map to begin with, for the user to look over: names that the study knows, or a word of the trade for them, units that the
 * headings state. What is not known is left out (`"to": null`); a number whose heading states no unit gets `"unit": "?"`, which is
 * refused until it is filled in, since a guess there is a slip nobody sees.
 *
 * @throws {BeadbenchError} `bad-file` where nothing looks like a heading
 */
export function draftColumnMap(definition: StudyDefinition, sheet: Sheet, sheetName?: string): ColumnMap {
  const headerRow = headingOf(sheet);
  const header = [...sheet.rows.get(headerRow)!].map(([index, { text }]) => ({ index, title: text.trim() }));
  const cells = [...sheet.rows].filter(([row]) => row > headerRow).flatMap(([, row]) => [...row.values()]);
  const texts = cells.filter(({ kind }) => kind === "text").map(({ text }) => text.trim());
  const decimal = texts.some((text) => /^-?\d+,\d/.test(text))
    ? ","
    : texts.some((text) => /^-?\d+\.\d+$/.test(text))
      ? "."
      : undefined;
  const dates = texts.some((text) => /^\d{1,2}\.\d{1,2}\.\d{2,4}$/.test(text))
    ? "day-month-year"
    : texts.some((text) => /^\d{4}[./-]\d/.test(text))
      ? "year-month-day"
      : undefined;
  return {
    schema: COLUMNS_SCHEMA,
    ...(sheetName === undefined ? {} : { sheet: sheetName }),
    headerRow,
    ...(decimal === undefined ? {} : { decimal }),
    ...(dates === undefined ? {} : { dates }),
    columns: header.map(({ index, title }): MappedColumn => {
      const twice = header.filter((other) => other.title === title).length > 1;
      return { from: title, ...(twice ? { column: columnLetters(index) } : {}), ...meant(definition, title) };
    }),
    constant: {},
  };
}

/** The first row with two texts or more and a row below it. */
function headingOf({ rows, place }: Sheet): number {
  const last = Math.max(0, ...rows.keys());
  const heading = [...rows]
    .sort(([a], [b]) => a - b)
    .find(([row, cells]) => row < last && texts(cells) >= 2)?.[0];
  if (heading !== undefined) return heading;
  throw new BeadbenchError("bad-file", `${place} has no row of headings with rows below it`);
}

const texts = (cells: ReadonlyMap<number, Cell>): number =>
  [...cells.values()].filter(({ kind, text }) => kind === "text" && /[A-Za-z]/.test(text)).length;

function meant(definition: StudyDefinition, title: string): Pick<MappedColumn, "to" | "unit"> {
  const { name, unit } = splitHeader(title);
  if (OWN.includes(name)) return { to: name };
  const bare = name.replace(/_\d+$/, "");
  const station = name.slice(bare.length);
  const known = [bare, tradeName(bare)].find((word) => isKnown(findColumn(definition, word)));
  if (known === undefined) return { to: null };
  const column = findColumn(definition, known);
  if (!isNumeric(column)) return { to: known };
  const plain = "unit" in column && column.unit === "1";
  return { to: `${known}${station}`, unit: unit ?? (plain ? "1" : "?") };
}

const isKnown = ({ role }: Column): boolean => role !== "context";
