import { ownValue } from "../../errors/index.js";
import { sameDimension } from "../../units/index.js";
import type { StudyDefinition } from "../definition/index.js";
import {
  type Column,
  findColumn,
  isAmountName,
  isNumeric,
  isPlainNumber,
  isSizeName,
  kindRules,
  valueFault,
} from "../definition/index.js";
import type { CouponRecord } from "../journal/index.js";
import { recordColumns } from "./known-coupons.js";

/** Takes a fault of one column. */
export type AddIssue = (column: string, message: string) => void;

/** What columns are checked against. */
export interface ColumnRules {
  readonly definition: StudyDefinition;
  /** Units in which columns outside the definition were logged before. */
  readonly contextUnits: Map<string, string>;
}

/** Checks each value against its column and gives every number a unit. */
export function checkColumns(
  { definition, contextUnits }: ColumnRules,
  record: CouponRecord,
  add: AddIssue,
): { readonly columns: ReturnType<typeof recordColumns>; readonly units: Readonly<Record<string, string>> } {
  const units: Record<string, string> = {};
  let sound = true;
  const check = (name: string, value: number | string | boolean): void => {
    const column = findColumn(definition, name);
    const unit = ownValue(record.units, name) ?? defaultUnit(column);
    if (typeof value === "number" && unit !== undefined) units[name] = unit;
    const before = column.role === "context" ? contextUnits.get(name) : undefined;
    const fault =
      before !== undefined && unit !== undefined && !sameDimension(before, unit)
        ? `was logged in ${before} before; write a unit like it, got ${unit}`
        : (valueFault(column, value, unit) ?? signFault(column, value));
    if (fault === undefined) {
      if (column.role === "context" && unit !== undefined && before === undefined)
        contextUnits.set(name, unit);
      return;
    }
    sound = false;
    add(name, `${name} ${fault}`);
  };
  for (const [name, value] of Object.entries(record.values)) check(name, value);
  for (const [name, list] of Object.entries(record.readings ?? {})) {
    check(name, list.find((reading) => reading < 0) ?? list[0]!);
    if (Object.hasOwn(record.values, name))
      add(name, `${name} has both a value and station readings; give one of them`);
    const column = findColumn(definition, name);
    if (column.role === "factor" || column.role === "block")
      add(name, `${name} is set, not read at stations`);
    if (column.role === "response" && !kindRules(column.response.kind).stations)
      add(name, `${name} is judged once, not read at stations; give one value`);
  }
  for (const name of Object.keys(record.units ?? {})) {
    if (ownValue(units, name) === undefined) add(name, `units names ${name}, which has no number here`);
  }
  return { columns: sound ? recordColumns(definition, { ...record, units }) : [], units };
}

/**
 * A size below 0 cannot be, nor a current or a speed, unless the study's own range goes there; in the journal of an older
 * study it stands, and the check says so.
 */
function signFault(column: Column, value: number | string | boolean): string | undefined {
  if (typeof value !== "number" || value >= 0) return undefined;
  const isSize = column.role === "response" && isSizeName(column.name);
  const isSet =
    (column.role === "factor" && column.factor.low >= 0) || column.role === "context"
      ? isAmountName(column.name)
      : false;
  return isSize || isSet ? `cannot be below 0, got ${value}; check the sign` : undefined;
}

function defaultUnit(column: Column): string | undefined {
  if (isPlainNumber(column)) return "1";
  return isNumeric(column) && "unit" in column ? column.unit : undefined;
}
