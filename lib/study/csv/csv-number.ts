import type { Issue } from "../../errors/index.js";
import { type Quantity, type QuantityPlace, readQuantity } from "../../units/index.js";
import { readYesNo, YES_NO_RULE } from "../definition/index.js";
import { type CsvText, type PlacedCell, placedCells, type Separator } from "./csv-text.js";

/** Whether cells of a file write 5.2 or 5,2. */
export type DecimalMark = "." | ",";

/** Could be read both as 1.25 with a decimal mark and as 1250 with a mark between thousands. */
const DOUBTFUL = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

const plain = (cell: string): string => cell.replace(/^\u2212/, "-");

/** The number a cell begins with: all of it, or what stands before its unit. */
const numberPart = (cell: string): string =>
  /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)(?:\s*[^\d.,\s].*)?$/i.exec(plain(cell))?.[1] ?? "";

/** The decimal mark of a file, with what makes it doubtful. */
export interface ToldMark {
  /** The mark the numbers are read with, a guess where there is a doubt. */
  readonly mark: DecimalMark;
  /** Why no number of the file can be relied on, at the first cell that may be read in two ways. */
  readonly doubt?: Issue;
}

/**
 * Tells the decimal mark of a file from the columns in use: the one most of their numbers are certain to be written
 * with, so that a cell with the other mark is the fault of that cell. Points in a comma-separated file are decimal
 * points; elsewhere a cell such as 1.250 alone proves nothing, and then any other column of numbers may settle it.
 *
 * @param used - positions of the columns in use
 * @param stated - the mark, where the user says it
 */
export function tellDecimalMark(file: CsvText, used: readonly number[], stated?: DecimalMark): ToldMark {
  if (stated !== undefined) return { mark: stated };
  const inUse = used.flatMap((index) => withMark(placedCells(file, index)));
  const beside = file.header.flatMap((_, index) => {
    const cells = used.includes(index) ? [] : placedCells(file, index);
    return cells.every(({ cell }) => numberPart(cell) !== "") ? withMark(cells) : [];
  });
  const mark = majority(inUse, file.separator) ?? majority(beside, file.separator);
  if (mark !== undefined) return { mark };
  const [first] = inUse;
  if (first === undefined) return { mark: "." };
  const { line, column, cell, mark: guess } = first;
  const message =
    "could be a decimal number or thousands, and no number of the file settles it: state the decimal mark (--decimal , or --decimal .), or write thousands without a mark";
  return { mark: guess, doubt: { line, column, got: cell, message } };
}

interface MarkedCell extends PlacedCell {
  readonly mark: DecimalMark;
  readonly doubtful: boolean;
}

function withMark(cells: readonly PlacedCell[]): readonly MarkedCell[] {
  return cells.flatMap((placed) => {
    const number = numberPart(placed.cell);
    const mark = number.includes(",") ? "," : number.includes(".") ? "." : undefined;
    return mark === undefined ? [] : [{ ...placed, mark, doubtful: DOUBTFUL.test(number) }];
  });
}

/** The mark of most numbers that can be read in one way only; as many of both leave it to the separator. */
function majority(cells: readonly MarkedCell[], separator: Separator): DecimalMark | undefined {
  const certain = cells.filter(({ mark, doubtful }) => !doubtful || (mark === "." && separator === ","));
  const commas = certain.filter(({ mark }) => mark === ",").length;
  if (certain.length === 0) return undefined;
  if (2 * commas === certain.length) return separator === "," ? "." : ",";
  return 2 * commas > certain.length ? "," : ".";
}

/** A cell as a number without unit, or what is wrong with it. */
export function parseNumber(raw: string, mark: DecimalMark): number | string {
  const found = parseCell(raw, mark, { like: "1", bare: "1" });
  return typeof found === "string" ? found : found.unit === "1" ? found.value : "must be a number alone";
}

/**
 * A cell as a number in the unit its column states (`place.bare`), or with its own unit by the grammar of
 * quantities, the decimal mark being the file's; or what is wrong with it.
 */
export function parseCell(raw: string, mark: DecimalMark, place: QuantityPlace): Quantity | string {
  const cell = plain(raw);
  const number = numberPart(cell);
  if (number.includes(mark === "," ? "." : ","))
    return `must be written with the decimal mark "${mark}", as the other numbers of the file, and without marks between thousands`;
  const found = readQuantity(number.replace(",", ".") + cell.slice(number.length), place);
  return typeof found === "string" ? (spreadsheetFault(cell) ?? found) : found;
}

/** Whether a cell is a number that says its unit itself, under either decimal mark; 1/2 alone may be any text. */
export function carriesUnit(cell: string): boolean {
  if (/^[-+\d\s.,/]*$/.test(cell)) return false;
  return ([".", ","] as const).some((mark) => typeof parseCell(cell, mark, {}) === "object");
}

/** What spreadsheets and habits put in the place of a number, and how to mend it. */
function spreadsheetFault(cell: string): string | undefined {
  if (/^#/.test(cell)) return "is a spreadsheet error, not a number; mend the sheet or leave the cell empty";
  if (/^(n\/?a|nan|none|null|-+|\?+|x)$/i.test(cell))
    return "is not a number; leave the cell empty when nothing was measured";
  if (/\d[\s\u00a0\u202f']\d{3}/.test(cell) || /[.,]\d{3}[.,]/.test(cell))
    return "must be written without marks between thousands";
  const fraction = /^[+-]?(\d+[ -])?\d+\/\d+$/.test(cell);
  const unit = /^[+-]?[\d.,]+\s*[a-z%\u00b0"\u00b5]/i.test(cell) && !/\d[-/.]\s*[a-z]{3}/i.test(cell);
  if (!fraction && !unit && /^\d{1,4}[-/.]\s*(\d{1,2}|[a-z]{3,})([-/.]\d{1,4})?/i.test(cell)) {
    return "looks like a date: the spreadsheet may have changed a number into one; format the column as text and type it again";
  }
  return undefined;
}

/** A cell as yes (true) or no (false), or what is wrong with it. */
export function parseYesNo(cell: string): boolean | string {
  return readYesNo(cell) ?? `${YES_NO_RULE}, or leave the cell empty`;
}
