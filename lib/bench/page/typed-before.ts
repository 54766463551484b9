import { ownValue } from "../../errors/index.js";
import type { BenchDay } from "../wire/index.js";
import type { WaitingRequest } from "./store.js";

/** What a refused request held, sorted into the fields of its form. */
export interface TypedBefore {
  readonly mode: "log" | "mend";
  readonly settings: Readonly<Record<string, number | string>>;
  readonly verdicts: Readonly<Record<string, boolean>>;
  readonly readings: Readonly<Record<string, readonly number[]>>;
  /** Values without a field, such as the day, which go along as they are unless one of them was refused. */
  readonly rest: Readonly<Record<string, number | string | boolean>>;
  readonly units: Readonly<Record<string, string>>;
  /** Seconds of arc. */
  readonly arc: number | undefined;
  readonly note: string;
  /** Why values were corrected. */
  readonly reason: string | undefined;
}

/** The coupon a request is about, where its form can be opened again. */
export function mendableCoupon(day: BenchDay, { request, refused }: WaitingRequest): string | undefined {
  const { task, home } = request;
  if (refused === undefined || home !== day.home || !("coupon" in task)) return undefined;
  if (task.kind === "incident") return undefined;
  const units = "units" in task ? (task.units ?? {}) : {};
  // A field shows the study's unit: a number that came in another one would be another length there.
  const other = day.measured.some(({ name, unit }) => (ownValue(units, name) ?? unit) !== unit);
  return other ? undefined : task.coupon;
}

/** Sorts what a request held. */
export function typedBefore(day: BenchDay, { request: { task }, refused }: WaitingRequest): TypedBefore {
  const { values = {}, readings = {}, units = {} } = "values" in task ? task : {};
  const faulty = new Set(refused?.faults.map(({ column }) => column));
  const settings: Record<string, number | string> = {};
  const verdicts: Record<string, boolean> = {};
  const measured: Record<string, readonly number[]> = {};
  const rest: Record<string, number | string | boolean> = {};
  for (const [name, value] of Object.entries(values)) {
    if (typeof value === "boolean") verdicts[name] = value;
    else if (day.factors.some((factor) => factor.name === name)) settings[name] = value;
    else if (typeof value === "number" && day.measured.some((column) => column.name === name))
      measured[name] = [value];
    else if (name !== "arc_time" && !faulty.has(name)) rest[name] = value;
  }
  const { arc_time: arc } = values;
  const text = task.kind === "note" ? task.text : "note" in task ? task.note : undefined;
  return {
    mode: task.kind === "correction" ? "mend" : "log",
    settings,
    verdicts,
    readings: { ...measured, ...readings },
    rest,
    units,
    arc: typeof arc === "number" ? arc : undefined,
    note: text ?? "",
    reason: task.kind === "correction" ? task.reason : undefined,
  };
}
