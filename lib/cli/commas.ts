/**
 * Reads numbers typed at the bench, where a comma parts readings (`5.9,6.1`) or stands for the decimal point
 * (`5,9 6,1`). It parts where a point stands among the numbers, or a blank after it; else it is a decimal comma. What
 * may be either, or a mark between thousands, is refused.
 *
 * @param read - reads the text with points for decimals and blanks between numbers
 * @returns what `read` makes of it, or what is wrong
 */
export function pointsForCommas<T>(text: string, read: (plain: string) => T | string): T | string {
  if (!/\d,/.test(text) && !/,\d/.test(text)) return read(text);
  if (/(^|[^\d.,])\d{1,3}(,\d{3})+(?![\d,])(?!.*[ ;]\s*\d)/.test(text))
    return "has a comma before three digits, which may be decimals or thousands: write a point for decimals and no mark between thousands";
  if (/\.\d/.test(text) && /(^|[\s,;])\d+,\d+(?![\d.])/.test(text))
    return "has a comma that may part readings or stand for a decimal: write points for decimals, or blanks between readings";
  if (/,(\s|$)/.test(text) || /\.\d/.test(text)) return read(text.replace(/\s*,\s*/g, " ").trim());
  const parts = text.split(/[\s;]+/);
  if (parts.some((part) => part.split(",").length > 2))
    return "has commas that may part readings or stand for decimals: part readings by blanks, as in 5,9 6,1 mm";
  return read(text.replaceAll(",", "."));
}

/**
 * A text with decimal commas as points, where a comma can be nothing else: between digits, but not before three of them
 * unless nought stands alone before it.
 */
export function decimalCommas(text: string): string {
  return text.replace(/(?<![\d.,])(0,\d+|\d+,(?:\d{1,2}|\d{4,}))(?![\d.,])/g, (number) =>
    number.replace(",", "."),
  );
}
