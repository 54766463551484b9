import type { Finding } from "../../errors/index.js";
import { mean, settingDigits } from "../../numeric/figures/index.js";
import { findUnit, withUnit } from "../../units/index.js";
import type { Quantity } from "../definition/index.js";
import { type Column, isNumeric, toStudyUnit, valueFault } from "../definition/index.js";
import type { CouponEntry } from "../journal/index.js";
import type { Coupon } from "./coupon.js";
import { makeResult, resultOf, resultOfReadings } from "./result.js";

/** A coupon while it is put together. */
export type CouponDraft = { -readonly [Key in keyof Coupon]: Writable<Coupon[Key]> };
type Writable<T> =
  T extends Readonly<Record<string, infer V>> ? Record<string, V> : T extends readonly (infer V)[] ? V[] : T;

/** A coupon of which nothing is known but its entry. */
export function emptyDraft(id: string, entry: CouponEntry): CouponDraft {
  return {
    id,
    state: "planned",
    order: entry.order ?? 0,
    blocks: {},
    settings: {},
    context: {},
    results: {},
    notes: [],
    time: entry.time,
    seq: entry.seq,
  };
}

/** Puts a value where the present definition says it belongs; what does not fit becomes a finding. */
export function placeValue({
  draft,
  column,
  value,
  unit,
  findings,
}: {
  readonly draft: CouponDraft;
  readonly column: Column;
  readonly value: number | string | boolean;
  readonly unit: string | undefined;
  readonly findings: Finding[];
}): void {
  const { name } = column;
  const fault = valueFault(column, value, unit);
  if (fault !== undefined) {
    // The definition was edited after this was logged: keep the value beside, and say so.
    findings.push({
      code: "value-does-not-fit",
      severity: "warning",
      message: `coupon ${draft.id}: the journal holds ${name} = ${typeof value === "number" ? withUnit(settingDigits(value), unit ?? "1") : String(value)}, but in study.json ${name} ${fault}; it is not used`,
      advice: "log a correction, or take the change of study.json back",
      about: [draft.id, name],
    });
    return;
  }
  if (isNumeric(column) && "unit" in column)
    noteStatedUnit({ draft, name, stated: unit ?? column.unit, own: column.unit });
  if (column.role === "factor") {
    draft.settings[name] = isNumeric(column)
      ? toStudyUnit(value as number, unit ?? column.unit, column.unit)
      : String(value);
  } else if (column.role === "block") draft.blocks[name] = String(value);
  else if (column.role === "context") {
    if (typeof value === "number") draft.context[name] = { value, unit: unit ?? "1" } satisfies Quantity;
    else draft.notes.push(`${name}: ${String(value)}`);
  } else {
    const inUnit = typeof value === "number" ? toStudyUnit(value, unit ?? column.unit, column.unit) : value;
    draft.results[name] = makeResult(column.response.kind, inUnit as number | boolean);
  }
}

function noteStatedUnit({
  draft,
  name,
  stated,
  own,
}: {
  readonly draft: CouponDraft;
  readonly name: string;
  readonly stated: string;
  readonly own: string;
}): void {
  if (stated === own && draft.statedUnits === undefined) return;
  const others = Object.entries(draft.statedUnits ?? {}).filter(([other]) => other !== name);
  const units = findUnit(stated) === findUnit(own) ? others : [...others, [name, stated] as const];
  if (units.length > 0) draft.statedUnits = Object.fromEntries(units);
  else delete draft.statedUnits;
}

/** Puts the mean of station readings in place, and keeps their scatter. */
export function placeReadings({
  draft,
  column,
  list,
  unit,
  findings,
}: {
  readonly draft: CouponDraft;
  readonly column: Column;
  readonly list: readonly number[];
  readonly unit: string;
  readonly findings: Finding[];
}): void {
  placeValue({ draft, column, value: mean(list), unit, findings });
  if (column.role !== "response" || resultOf(draft, column.name) === undefined) return;
  const readings = list.map((reading) => toStudyUnit(reading, unit, column.unit));
  draft.results[column.name] = resultOfReadings(column.response.kind, readings);
}
