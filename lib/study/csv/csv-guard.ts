/** Cells a spreadsheet might run as a formula, behind any blanks and apostrophes. */
const FORMULA = /^[\s']*[=+\-@\t\r＝＋－＠]/;

/**
 * A text cell that no spreadsheet runs as a formula: an apostrophe is put before = + - @ and their like,
 * so that `=1+1` becomes `'=1+1`.
 *
 * @source OWASP, "CSV Injection": prepend a single quote, wrap in double quotes, double the inner quotes
 */
export function guardCell(text: string): string {
  return FORMULA.test(text) ? `'${text}` : text;
}

/** Takes back what {@link guardCell} did. */
export function unguardCell(cell: string): string {
  return cell.startsWith("'") && FORMULA.test(cell.slice(1)) ? cell.slice(1) : cell;
}

/** A text as a CSV cell: guarded, and quoted where it holds anything but letters, digits, `_`, `.` and `-`. */
export function textCell(text: string): string {
  const guarded = guardCell(text);
  return /^[\w.-]*$/.test(guarded) ? guarded : `"${guarded.replaceAll('"', '""')}"`;
}
