/** Number formats that every spreadsheet program shows as a date or time, by their fixed numbers. */
const FIXED: readonly (readonly [number, number])[] = [
  [14, 22],
  [27, 36],
  [45, 47],
  [50, 58],
];

/**
 * Whether a number format shows a date or time: a fixed one, or a code with letters of a date outside quotes, brackets and escapes.
 *
 * @source ISO/IEC 29500-1, 18.8.30 numFmt (from memory)
 * @example isDateFormat(164, "dd.mm.yyyy") // => true
 * @example isDateFormat(164, '0.0 "mm"') // => false
 */
export function isDateFormat(id: number, code?: string): boolean {
  if (code === undefined) return FIXED.some(([from, to]) => id >= from && id <= to);
  return /[ymdhs]/i.test(code.replace(/"[^"]*"|\[[^\]]*\]|\\.|_.|\*./g, "").replace(/general/gi, ""));
}

const DAY = 86_400_000;
/** Days from 30 December 1899 to 1 January 1970. */
const TO_1970 = 25_569;
/** Days by which the calendar from 1904 begins later. */
const FROM_1904 = 1462;

/**
 * The day and time a serial number stands for, as ISO 8601 without a zone; a time alone below 1. The calendar from 1900 has a 29 February
 * 1900 that never was (60), which is refused.
 *
 * @returns undefined for what no calendar has
 * @source ISO/IEC 29500-1, 18.17.4 dates and times (from memory)
 * @example serialDate(46000, false) // => "2025-12-09"
 * @example serialDate(44538, true) // => "2025-12-09"
 */
export function serialDate(serial: number, from1904: boolean): string | undefined {
  if (!(serial >= 0 && serial < 2_958_466) || (!from1904 && Math.floor(serial) === 60)) return undefined;
  const days = from1904 ? serial + FROM_1904 : serial >= 60 || serial < 1 ? serial : serial + 1;
  const text = new Date(Math.round(((days - TO_1970) * DAY) / 1000) * 1000).toISOString().slice(0, 19);
  if (serial < 1 && !from1904) return text.slice(11);
  return text.endsWith("T00:00:00") ? text.slice(0, 10) : text;
}
