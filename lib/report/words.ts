import { brief, settingDigits, significant } from "../numeric/index.js";

/** A table cell of a measured value: to four digits; nothing for what is not there. */
export const cell = (value: number | undefined): string => (value === undefined ? "" : brief(value, 4));

/** A table cell of a setting, a category by its name; nothing for what is not there. */
export const settingCell = (value: number | string | undefined): string =>
  typeof value === "number" ? settingDigits(value) : (value ?? "");

/** A table cell of an estimate; nothing for what is not there. */
export const estimateCell = (value: number | undefined): string =>
  value === undefined ? "" : significant(value);
