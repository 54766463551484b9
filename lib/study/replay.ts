import type { Finding } from "../errors/index.js";
import { mean, standardDeviation } from "../numeric/index.js";
import { findUnit } from "../units/index.js";
import { type Column, findColumn, isNumeric, toStudyUnit, valueFault } from "./column.js";
import type { Coupon, Scatter } from "./coupon.js";
import type { Quantity, StudyDefinition } from "./definition.js";
import { type CouponEntry, effectiveEntries } from "./effective-entry.js";
import type { ChangeBody, Entry, IncidentBody } from "./journal-entry.js";

/** An incident as logged. */
export type Incident = Omit<IncidentBody, "kind"> & { readonly seq: number; readonly time: string };
/** A change of equipment or consumable as logged. */
export type Change = Omit<ChangeBody, "kind"> & { readonly seq: number; readonly time: string };
/** A remark as logged. */
export interface Note {
  readonly seq: number;
  readonly time: string;
  readonly text: string;
  readonly coupon?: string;
}

/** What the journal says, under the present definition. */
export interface Replay {
  readonly coupons: readonly Coupon[];
  readonly incidents: readonly Incident[];
  readonly changes: readonly Change[];
  readonly notes: readonly Note[];
  readonly findings: readonly Finding[];
}

type Draft = { -readonly [Key in keyof Coupon]: Draft1<Coupon[Key]> };
type Draft1<T> =
  T extends Readonly<Record<string, infer V>> ? Record<string, V> : T extends readonly (infer V)[] ? V[] : T;

/** Rebuilds the state of a study from its journal entries. */
export function replay(definition: StudyDefinition, entries: readonly Entry[]): Replay {
  const drafts = new Map<string, Draft>();
  const findings: Finding[] = [];
  for (const entry of effectiveEntries(entries)) applyEntry(drafts, entry, definition, findings);
  const voidedEntries = new Set(entries.flatMap((entry) => (entry.kind === "voided" ? [entry.entry] : [])));
  const incidents: Incident[] = [];
  const changes: Change[] = [];
  const notes: Note[] = [];
  for (const entry of entries) {
    if (voidedEntries.has(entry.seq)) continue;
    if (entry.kind === "incident") incidents.push(withoutSeal(entry));
    else if (entry.kind === "change") changes.push(withoutSeal(entry));
    else if (entry.kind === "note") {
      notes.push(withoutSeal(entry));
      if (entry.coupon !== undefined) drafts.get(entry.coupon)?.notes.push(...entry.text.split(/\r?\n/));
    } else if (entry.kind === "corrected" || entry.kind === "voided") annotate(drafts, entry, entries);
  }
  const coupons = [...drafts.values()].sort((a, b) => a.order - b.order || (a.id < b.id ? -1 : 1));
  findings.push(...missingSettings(definition, coupons));
  return { coupons: coupons as readonly Coupon[], incidents, changes, notes, findings };
}

/** A factor added to study.json later is unknown of the coupons before it. */
function missingSettings(definition: StudyDefinition, coupons: readonly Draft[]): readonly Finding[] {
  return definition.factors.flatMap(({ name }) => {
    const about = coupons.filter(({ settings }) => settings[name] === undefined).map(({ id }) => id);
    if (about.length === 0) return [];
    const advice =
      "log it for them by a correction, or keep it among the settings of the rig instead of the factors";
    const message = `${about.length} coupons have no setting of ${name}, a factor of study.json: ${about.slice(0, 5).join(", ")}`;
    return [{ code: "setting-missing", severity: "warning" as const, message, advice, about }];
  });
}

function withoutSeal<T extends Entry>(entry: T): Omit<T, "kind" | "batchEnd" | "prev" | "hash"> {
  const { kind: _kind, batchEnd: _batchEnd, prev: _prev, hash: _hash, ...content } = entry;
  return content;
}

/** Says on the coupon that it was corrected or voided, and why. */
function annotate(drafts: Map<string, Draft>, entry: Entry, entries: readonly Entry[]): void {
  if (entry.kind === "voided" && entry.coupon !== undefined) {
    const draft = drafts.get(entry.coupon);
    if (draft === undefined) return;
    draft.state = "voided";
    draft.seq = entry.seq;
    draft.notes.push(`voided: ${entry.reason}`);
  } else if (entry.kind === "corrected") {
    const target = entries.find(({ seq }) => seq === entry.entry);
    const draft = target !== undefined && "coupon" in target ? drafts.get(target.coupon ?? "") : undefined;
    if (draft === undefined) return;
    draft.seq = entry.seq;
    draft.notes.push(`corrected: ${entry.reason}`);
  }
}

function applyEntry(
  drafts: Map<string, Draft>,
  entry: CouponEntry,
  definition: StudyDefinition,
  findings: Finding[],
): void {
  const id = entry.coupon!;
  const draft = drafts.get(id) ?? emptyDraft(id, entry);
  drafts.set(id, draft);
  draft.seq = entry.seq;
  if (entry.order !== undefined) draft.order = entry.order;
  if (entry.role !== undefined) draft.role = entry.role;
  if (entry.kind === "logged") {
    if (draft.state === "planned") draft.time = entry.time;
    draft.state = "logged";
  }
  if (entry.note !== undefined) draft.notes.push(...entry.note.split(/\r?\n/));
  const place = (name: string, value: number | string | boolean, unit?: string): void =>
    placeValue(draft, findColumn(definition, name), value, unit, findings);
  for (const [name, value] of Object.entries(entry.values)) place(name, value, entry.units?.[name]);
  for (const [name, list] of Object.entries(entry.readings ?? {})) {
    placeReadings(draft, findColumn(definition, name), list, entry.units?.[name] ?? "1", findings);
  }
  if (entry.kind === "planned") draft.plannedSettings = { ...draft.settings };
}

function emptyDraft(id: string, entry: CouponEntry): Draft {
  return {
    id,
    state: "planned",
    order: entry.order ?? 0,
    blocks: {},
    settings: {},
    context: {},
    measured: {},
    scatter: {},
    passed: {},
    grades: {},
    notes: [],
    time: entry.time,
    seq: entry.seq,
  };
}

function placeValue(
  draft: Draft,
  column: Column,
  value: number | string | boolean,
  unit: string | undefined,
  findings: Finding[],
): void {
  const { name } = column;
  const fault = valueFault(column, value, unit);
  if (fault !== undefined) {
    // The definition was edited after this was logged: keep the value beside, and say so.
    findings.push({
      code: "value-does-not-fit",
      severity: "warning",
      message: `coupon ${draft.id}: the journal holds ${name} = ${String(value)} ${unit ?? ""}, but in study.json ${name} ${fault}; it is not used`,
      advice: "log a correction, or take the change of study.json back",
      about: [draft.id, name],
    });
    return;
  }
  if (isNumeric(column) && "unit" in column) noteStatedUnit(draft, name, unit ?? column.unit, column.unit);
  if (column.role === "factor") {
    draft.settings[name] = isNumeric(column)
      ? toStudyUnit(value as number, unit ?? column.unit, column.unit)
      : String(value);
  } else if (column.role === "block") draft.blocks[name] = String(value);
  else if (column.role === "context") {
    if (typeof value === "number") draft.context[name] = { value, unit: unit ?? "1" } satisfies Quantity;
    else draft.notes.push(`${name}: ${String(value)}`);
  } else if (typeof value === "boolean") draft.passed[name] = value;
  else {
    const number = toStudyUnit(value as number, unit ?? column.unit, column.unit);
    (column.response.kind === "grade" ? draft.grades : draft.measured)[name] = number;
  }
}

function noteStatedUnit(draft: Draft, name: string, stated: string, own: string): void {
  const { [name]: _before, ...others } = draft.statedUnits ?? {};
  const units = findUnit(stated) === findUnit(own) ? others : { ...others, [name]: stated };
  if (Object.keys(units).length > 0) draft.statedUnits = units;
  else delete draft.statedUnits;
}

function placeReadings(
  draft: Draft,
  column: Column,
  list: readonly number[],
  unit: string,
  findings: Finding[],
): void {
  placeValue(draft, column, mean(list), unit, findings);
  if (column.role !== "response" || !(column.name in draft.measured)) return;
  const readings = list.map((reading) => toStudyUnit(reading, unit, column.unit));
  const scatter: Scatter = { readings, sd: readings.length < 2 ? 0 : standardDeviation(readings) };
  draft.scatter[column.name] = scatter;
  draft.measured[column.name] = mean(readings);
}
