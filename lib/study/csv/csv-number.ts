import { type Quantity, type QuantityPlace, readQuantity } from "../../units/index.js";
import { readYesNo, YES_NO_RULE } from "../definition/index.js";

/** Whether cells of a file write 5.2 or 5,2. */
export type DecimalMark = "." | ",";

/** Could be read both as 1.25 with a decimal mark and as 1250 with a mark between thousands. */
const DOUBTFUL = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

const plain = (cell: string): string => cell.replace(/^\u2212/, "-");

/** The number a cell begins with: all of it, or what stands before its unit. */
const numberPart = (cell: string): string =>
  /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?)(?:\s*[^\d.,\s].*)?$/i.exec(plain(cell))?.[1] ?? "";

/**
 * Tells the decimal mark of a file from its number cells, or says why it cannot be told.
 * Points in a comma-separated file are decimal points; elsewhere a cell such as 1.250 alone proves nothing.
 */
export function tellDecimalMark(
  cells: readonly string[],
  separator: string,
): DecimalMark | { readonly cell: string; readonly message: string } {
  const marked = cells
    .map((cell) => ({ cell, number: numberPart(cell) }))
    .filter(({ number }) => /[.,]/.test(number));
  const withComma = marked.filter(({ number }) => number.includes(","));
  const withPoint = marked.filter(({ number }) => number.includes("."));
  if (withComma.length > 0 && withPoint.length > 0) {
    return {
      cell: withComma[0]!.cell,
      message: `the file writes numbers both with a comma and with a point (${withPoint[0]!.cell}): use one decimal mark, and none between thousands`,
    };
  }
  const mark = withComma.length > 0 ? "," : ".";
  const certain = mark === "." && separator === ",";
  if (marked.length > 0 && !certain && marked.every(({ number }) => DOUBTFUL.test(number))) {
    return {
      cell: marked[0]!.cell,
      message:
        "could be a decimal number or thousands; state the decimal mark, or write thousands without a mark",
    };
  }
  return mark;
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
    return `must be written with the decimal mark "${mark}", as the other numbers of the file`;
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

/** A cell as pass (true) or fail (false), or what is wrong with it. */
export function parsePassFail(cell: string): boolean | string {
  return readYesNo(cell) ?? `${YES_NO_RULE}, or leave the cell empty`;
}

/** Whether a text would pass as a pass/fail cell. */
export function isPassFailWord(cell: string): boolean {
  return readYesNo(cell) !== undefined;
}
