import { ownValue } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { unitsLike } from "../../units/index.js";
import type { StudyDefinition } from "../definition/index.js";
import { type Column, findColumn, isNumeric, toStudyUnit } from "../definition/index.js";
import type { CouponRecord, Entry } from "../journal/index.js";
import { type CouponEntry, effectiveEntries, isCouponEntry } from "../journal/index.js";

/** A value as logged, in the study's unit where it has one; readings stay a list. */
export type Known = number | string | boolean | readonly number[];

/** What is already in the journal about one coupon. */
export interface KnownCoupon {
  readonly id: string;
  planned: boolean;
  voided: boolean;
  /** Settings asked for. */
  readonly settings: Map<string, Known>;
  /** Columns logged so far, with the entry that logged them. */
  readonly logged: Map<string, { readonly value: Known; readonly seq: number }>;
  /** Columns as first written, where a correction changed or withdrew them. */
  readonly superseded: Map<string, Known>;
}

/** Gathers what is known of every coupon, with corrections applied. */
export function knownCoupons(
  definition: StudyDefinition,
  entries: readonly Entry[],
): Map<string, KnownCoupon> {
  const known = new Map<string, KnownCoupon>();
  // In a damaged journal a number may stand twice; of what is no coupon there is nothing to remember.
  const written = new Map(entries.filter(isCouponEntry).map((entry) => [entry.seq, entry]));
  for (const entry of effectiveEntries(entries)) {
    remember({ known, definition, id: entry.coupon!, record: entry, seq: entry.seq });
    const first = written.get(entry.seq)!;
    if (first !== entry) rememberSuperseded(known.get(entry.coupon!)!, definition, first);
  }
  for (const entry of entries) {
    if (entry.kind !== "voided" || entry.coupon === undefined) continue;
    const coupon = known.get(entry.coupon);
    if (coupon !== undefined) coupon.voided = true;
  }
  return known;
}

function rememberSuperseded(coupon: KnownCoupon, definition: StudyDefinition, first: CouponEntry): void {
  for (const [name, value] of recordColumns(definition, first)) {
    const now = coupon.logged.get(name)?.value;
    if (now === undefined || !sameKnown(now, value)) coupon.superseded.set(name, value);
  }
}

/** Whether a coupon was logged with this value, corrected since or not. */
export function wasLogged(coupon: KnownCoupon, name: string, value: Known): boolean {
  return [coupon.logged.get(name)?.value, coupon.superseded.get(name)].some(
    (found) => found !== undefined && sameKnown(found, value),
  );
}

/** Adds what one planned or logged record says. */
export function remember({
  known,
  definition,
  id,
  record,
  seq,
}: {
  readonly known: Map<string, KnownCoupon>;
  readonly definition: StudyDefinition;
  readonly id: string;
  readonly record: CouponRecord & { readonly kind: "planned" | "logged" };
  readonly seq: number;
}): void {
  const coupon = known.get(id) ?? {
    id,
    planned: false,
    voided: false,
    settings: new Map(),
    logged: new Map(),
    superseded: new Map(),
  };
  known.set(id, coupon);
  if (record.kind === "planned") coupon.planned = true;
  for (const [name, value] of recordColumns(definition, record)) {
    if (record.kind === "planned") coupon.settings.set(name, value);
    else coupon.logged.set(name, { value, seq });
  }
}

/** The columns of a record in the study's units, so that they can be compared. */
export function recordColumns(
  definition: StudyDefinition,
  record: CouponRecord,
): readonly (readonly [string, Known])[] {
  const inStudyUnit = (name: string, value: number): number => {
    const column: Column = findColumn(definition, name);
    const from = ownValue(record.units, name);
    if (from === undefined) return value;
    // Context has no unit in the definition: compared in the base unit, so mm/s equals its mm/min.
    return isNumeric(column) && "unit" in column
      ? toStudyUnit(value, from, column.unit)
      : toStudyUnit(value, from, unitsLike(from)[0]!);
  };
  return [
    ...Object.entries(record.values).map(
      ([name, value]) => [name, typeof value === "number" ? inStudyUnit(name, value) : value] as const,
    ),
    ...Object.entries(record.readings ?? {}).map(
      ([name, list]) => [name, list.map((reading) => inStudyUnit(name, reading))] as const,
    ),
  ];
}

/** A value for a message. */
export function knownText(value: Known): string {
  if (typeof value === "object") return value.map(settingDigits).join(", ");
  return typeof value === "number" ? settingDigits(value) : String(value);
}

/** Whether two known values are the same but for rounding in the tenth digit. */
export function sameKnown(a: Known, b: Known): boolean {
  if (typeof a === "number" && typeof b === "number")
    return Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b));
  if (typeof a === "object" && typeof b === "object") {
    return a.length === b.length && a.every((value, i) => sameKnown(value, b[i]!));
  }
  return a === b;
}

/** Numbers of coupons: the id after the highest C number in use, C001, C002 ... */
export class CouponNumbers {
  #highest = 0;

  constructor(ids: Iterable<string>) {
    for (const id of ids) this.take(id);
  }

  /** Counts an id as used; one of more digits than a number holds is none. */
  take(id: string): void {
    this.#highest = Math.max(this.#highest, Number(/^C(\d{1,15})$/.exec(id)?.[1] ?? 0));
  }

  next(): string {
    return `C${String(this.#highest + 1).padStart(3, "0")}`;
  }
}
