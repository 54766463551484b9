import { significant } from "../numeric/index.js";

/** A snake_case name as words. */
export const words = (name: string): string => name.replaceAll("_", " ");

/** A table cell: numbers to four digits, nothing for what is not there. */
export const cell = (value: number | string | undefined): string =>
  typeof value === "number" ? String(Number(significant(value, 4))) : (value ?? "");
