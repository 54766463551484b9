import { ownValue } from "../errors/index.js";
import { settingDigits } from "../numeric/figures/index.js";
import { findColumn, type StudyDefinition, verdictWord } from "../study/definition/index.js";
import type { Entry } from "../study/journal/index.js";
import { withUnit } from "../units/index.js";

/** What an entry says of a coupon; `null` withdraws. */
interface LoggedColumns {
  readonly values?: Readonly<Record<string, number | string | boolean | null>>;
  readonly readings?: Readonly<Record<string, readonly number[]>>;
  readonly units?: Readonly<Record<string, string>>;
}

/** What was logged, as it was read, so that a wrong reading is seen while the coupon is at hand. */
export function entryText(definition: StudyDefinition, entry: Entry | undefined): string {
  if (entry === undefined) return "nothing was logged\n";
  const columns = "values" in entry && entry.kind !== "build" ? columnsText(definition, entry) : [];
  const of = "coupon" in entry && entry.coupon !== undefined ? `${entry.coupon}  ` : "";
  return `logged as entry ${entry.seq}${columns.length === 0 ? "" : `: ${of}${columns.join("; ")}`}\n`;
}

function columnsText(
  definition: StudyDefinition,
  { values = {}, readings = {}, units = {} }: LoggedColumns,
): readonly string[] {
  const said = (name: string, value: number | string | boolean | null | readonly number[]): string => {
    const column = findColumn(definition, name);
    if (value === null) return `${name} withdrawn`;
    if (typeof value === "boolean")
      return `${name} ${column.role === "response" ? verdictWord(column.response, value) : String(value)}`;
    if (typeof value === "string") return `${name} ${value}`;
    const numbers = typeof value === "number" ? [value] : value;
    const isNew = column.role === "context" ? " (a column of its own)" : "";
    return `${name} ${withUnit(numbers.map(settingDigits).join(", "), ownValue(units, name) ?? "1")}${isNew}`;
  };
  return [
    ...Object.entries(values).map(([name, value]) => said(name, value)),
    ...Object.entries(readings).map(([name, list]) => said(name, list)),
  ];
}
