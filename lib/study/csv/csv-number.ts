/** Whether cells of a file write 5.2 or 5,2. */
export type DecimalMark = "." | ",";

const DIGITS = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i;
/** Could be read both as 1.25 with a decimal mark and as 1250 with a mark between thousands. */
const DOUBTFUL = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

const plain = (cell: string): string => cell.replace(/^\u2212/, "-");

/**
 * Tells the decimal mark of a file from its number cells, or says why it cannot be told.
 * Points in a comma-separated file are decimal points; elsewhere a cell such as 1.250 alone proves nothing.
 */
export function tellDecimalMark(
  cells: readonly string[],
  separator: string,
): DecimalMark | { readonly cell: string; readonly message: string } {
  const marked = cells.map(plain).filter((cell) => DIGITS.test(cell) && /[.,]/.test(cell));
  const withComma = marked.filter((cell) => cell.includes(","));
  const withPoint = marked.filter((cell) => cell.includes("."));
  if (withComma.length > 0 && withPoint.length > 0) {
    return {
      cell: withComma[0]!,
      message: `the file writes numbers both with a comma and with a point (${withPoint[0]}): use one decimal mark, and none between thousands`,
    };
  }
  const mark = withComma.length > 0 ? "," : ".";
  const certain = mark === "." && separator === ",";
  if (marked.length > 0 && !certain && marked.every((cell) => DOUBTFUL.test(cell))) {
    return {
      cell: marked[0]!,
      message:
        "could be a decimal number or thousands; state the decimal mark, or write thousands without a mark",
    };
  }
  return mark;
}

/** A cell as a number, or what is wrong with it. */
export function parseNumber(raw: string, mark: DecimalMark): number | string {
  const cell = plain(raw);
  if (DIGITS.test(cell) && !cell.includes(mark === "," ? "." : ",")) {
    const value = Number(cell.replace(",", "."));
    return Number.isFinite(value) ? value : "is too large for a number";
  }
  if (DIGITS.test(cell))
    return `must be written with the decimal mark "${mark}", as the other numbers of the file`;
  if (/^#/.test(cell)) return "is a spreadsheet error, not a number; mend the sheet or leave the cell empty";
  if (/^(n\/?a|nan|none|null|-+|\?+|x)$/i.test(cell))
    return "is not a number; leave the cell empty when nothing was measured";
  if (/\d[\s\u00a0\u202f']\d{3}/.test(cell) || /[.,]\d{3}[.,]/.test(cell))
    return "must be written without marks between thousands";
  if (/^[+-]?[\d.,]+\s*[a-z%°"µ]/i.test(cell) && !/\d[-/.]\s*[a-z]{3}/i.test(cell)) {
    return "must be a number alone; the unit belongs in the column header";
  }
  if (/^\d{1,4}[-/.]\s*(\d{1,2}|[a-z]{3,})([-/.]\d{1,4})?/i.test(cell)) {
    return "looks like a date: the spreadsheet may have changed a number into one; format the column as text and type it again";
  }
  return "must be a number";
}

const PASS = new Set(["true", "yes", "pass", "1"]);
const FAIL = new Set(["false", "no", "fail", "0"]);

/** A cell as pass (true) or fail (false), or what is wrong with it. */
export function parsePassFail(cell: string): boolean | string {
  const word = cell.toLowerCase();
  if (PASS.has(word)) return true;
  return FAIL.has(word) ? false : "must be one of true, false, yes, no, pass, fail, 1, 0, or empty";
}

/** Whether a text would pass as a pass/fail cell. */
export function isPassFailWord(cell: string): boolean {
  return typeof parsePassFail(cell) === "boolean";
}
