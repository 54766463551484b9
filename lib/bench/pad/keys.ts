/** A key of the number pad. */
export type PadKey = "0" | "1" | "2" | "3" | "4" | "5" | "6" | "7" | "8" | "9" | "." | "-" | "back";

/** What is typed into one field of the pad. */
export interface PadField {
  /** Digits, with a mark where one was typed, and a minus where one was: "59", "5.9", "-3". */
  readonly keys: string;
  /** Decimals that digits without a mark have: with 1, "59" is 5.9. */
  readonly decimals: number;
}

/** Digits beyond which nothing is typed. */
const MOST_DIGITS = 6;

/** The field after a key. */
export function press({ keys, decimals }: PadField, key: PadKey): PadField {
  const typed = (next: string): PadField => ({ keys: next, decimals });
  if (key === "back") return typed(keys.slice(0, -1));
  if (key === "-") return typed(keys.startsWith("-") ? keys.slice(1) : `-${keys}`);
  if (key === ".") return keys.includes(".") ? typed(keys) : typed(`${keys}.`);
  return keys.replaceAll(/\D/g, "").length >= MOST_DIGITS ? typed(keys) : typed(keys + key);
}

/**
 * The number a field stands for, as it is shown at every key: digits without a mark fill the decimals from the right, a
 * mark puts them where it stands. Empty while nothing was typed.
 *
 * @example fieldText({ keys: "59", decimals: 1 }) // => "5.9"
 */
export function fieldText({ keys, decimals }: PadField): string {
  const minus = keys.startsWith("-") ? "-" : "";
  const plain = keys.slice(minus.length);
  if (plain === "") return "";
  if (plain.includes(".")) return `${minus}${plain.startsWith(".") ? "0" : ""}${plain.replace(/\.$/, "")}`;
  const digits = plain.padStart(decimals + 1, "0");
  const whole = digits.slice(0, digits.length - decimals).replace(/^0+(?=\d)/, "");
  return decimals === 0 ? `${minus}${whole}` : `${minus}${whole}.${digits.slice(-decimals)}`;
}

/** What is typed for a value, with its mark, so that decimals do not shift it. */
export const keysFor = (value: number): string => `${value}${Number.isInteger(value) ? "." : ""}`;

/** The value of a field; undefined while nothing was typed. */
export function fieldValue(field: PadField): number | undefined {
  const text = fieldText(field);
  return text === "" ? undefined : Number(text);
}

/** Where the next coupon is expected to come out. */
export interface PadRange {
  readonly lower: number;
  readonly upper: number;
}

/**
 * Whether a field holds all digits that can be meant, so that the next one may be typed at once: its value lies where it is
 * expected, and with one digit more it would lie beyond. Never where a mark was typed or nothing is expected: then it is
 * up to who types.
 */
export function isWhole(field: PadField, range: PadRange | undefined): boolean {
  const value = fieldValue(field);
  if (range === undefined || value === undefined || /[.-]/.test(field.keys)) return false;
  return value >= range.lower && value <= range.upper && 10 * value > range.upper;
}

/** Whether a value lies outside what is expected. */
export const isFar = (value: number, range: PadRange | undefined): boolean =>
  range !== undefined && (value < range.lower || value > range.upper);

/** The key of the pad that a key of a keyboard stands for. */
export function keyOf(typed: string): PadKey | undefined {
  if (/^\d$/.test(typed) || typed === "-") return typed as PadKey;
  if (typed === "." || typed === ",") return ".";
  return typed === "Backspace" ? "back" : undefined;
}
