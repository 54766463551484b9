import { type Finding, ownValue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import { type Column, findColumn } from "../definition/index.js";
import type { BuildBody, ChangeBody, Entry, IncidentBody } from "../journal/index.js";
import { type CouponEntry, effectiveEntries } from "../journal/index.js";
import type { Coupon } from "./coupon.js";
import { type CouponDraft, emptyDraft, placeReadings, placeValue } from "./coupon-draft.js";

/** An incident as logged. */
export type Incident = Omit<IncidentBody, "kind"> & { readonly seq: number; readonly time: string };
/** A change of equipment or consumable as logged. */
export type Change = Omit<ChangeBody, "kind"> & { readonly seq: number; readonly time: string };
/** A step of a build as logged. */
export type BuildStep = Omit<BuildBody, "kind"> & { readonly seq: number; readonly time: string };
/** A remark as logged: its number in the journal, its time (RFC 3339), and its coupon where it names one. */
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
  readonly buildSteps: readonly BuildStep[];
  readonly notes: readonly Note[];
  readonly findings: readonly Finding[];
}

/** Rebuilds the state of a study from its journal entries. */
export function replay(definition: StudyDefinition, entries: readonly Entry[]): Replay {
  const drafts = new Map<string, CouponDraft>();
  const findings: Finding[] = [];
  const columns = new Map<string, Column>();
  const columnOf = (name: string): Column => {
    const column = columns.get(name) ?? findColumn(definition, name);
    columns.set(name, column);
    return column;
  };
  for (const entry of effectiveEntries(entries)) applyEntry({ drafts, entry, columnOf, findings });
  const byNumber = new Map(entries.map((entry) => [entry.seq, entry]));
  const voidedEntries = new Set(entries.flatMap((entry) => (entry.kind === "voided" ? [entry.entry] : [])));
  const incidents: Incident[] = [];
  const changes: Change[] = [];
  const buildSteps: BuildStep[] = [];
  const notes: Note[] = [];
  for (const entry of entries) {
    if (voidedEntries.has(entry.seq)) continue;
    if (entry.kind === "incident") incidents.push(withoutSeal(entry));
    else if (entry.kind === "change") changes.push(withoutSeal(entry));
    else if (entry.kind === "build") buildSteps.push(withoutSeal(entry));
    else if (entry.kind === "note") {
      notes.push(withoutSeal(entry));
      if (entry.coupon !== undefined) drafts.get(entry.coupon)?.notes.push(...entry.text.split(/\r?\n/));
    } else if (entry.kind === "corrected" || entry.kind === "voided") annotate(drafts, entry, byNumber);
  }
  const coupons = [...drafts.values()].sort((a, b) => a.order - b.order || (a.id < b.id ? -1 : 1));
  findings.push(...missingSettings(definition, coupons));
  return { coupons: coupons as readonly Coupon[], incidents, changes, buildSteps, notes, findings };
}

/** A factor added to study.json later is unknown of the coupons before it. */
function missingSettings(definition: StudyDefinition, coupons: readonly CouponDraft[]): readonly Finding[] {
  return definition.factors.flatMap(({ name }) => {
    const about = coupons
      .filter(({ settings }) => ownValue(settings, name) === undefined)
      .map(({ id }) => id);
    if (about.length === 0) return [];
    const advice =
      "log it for them by a correction, or keep it among the settings of the rig instead of the factors";
    const message = `${about.length === 1 ? "a coupon has" : `${about.length} coupons have`} no setting of ${name}, a factor of study.json: ${about.slice(0, 5).join(", ")}`;
    return [{ code: "setting-missing", severity: "warning" as const, message, advice, about }];
  });
}

function withoutSeal<T extends Entry>(entry: T): Omit<T, "kind" | "batchEnd" | "request" | "prev" | "hash"> {
  const { kind: _kind, batchEnd: _end, request: _request, prev: _prev, hash: _hash, ...content } = entry;
  return content;
}

/** Says on the coupon that it was corrected or voided, and why. */
function annotate(
  drafts: Map<string, CouponDraft>,
  entry: Entry,
  byNumber: ReadonlyMap<number, Entry>,
): void {
  if (entry.kind === "voided" && entry.coupon !== undefined) {
    const draft = drafts.get(entry.coupon);
    if (draft === undefined) return;
    draft.state = "voided";
    draft.seq = entry.seq;
    draft.notes.push(`voided: ${entry.reason}`);
  } else if (entry.kind === "corrected") {
    const target = byNumber.get(entry.entry);
    const draft = target !== undefined && "coupon" in target ? drafts.get(target.coupon ?? "") : undefined;
    if (draft === undefined) return;
    draft.seq = entry.seq;
    draft.notes.push(`corrected: ${entry.reason}`);
    const named = [...Object.keys(entry.values ?? {}), ...Object.keys(entry.readings ?? {})];
    draft.checkedAgain = [...new Set([...(draft.checkedAgain ?? []), ...named])];
  }
}

function applyEntry({
  drafts,
  entry,
  columnOf,
  findings,
}: {
  readonly drafts: Map<string, CouponDraft>;
  readonly entry: CouponEntry;
  readonly columnOf: (name: string) => Column;
  readonly findings: Finding[];
}): void {
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
    placeValue({ draft, column: columnOf(name), value, unit, findings });
  for (const [name, value] of Object.entries(entry.values)) place(name, value, ownValue(entry.units, name));
  for (const [name, list] of Object.entries(entry.readings ?? {})) {
    placeReadings({
      draft,
      column: columnOf(name),
      list,
      unit: ownValue(entry.units, name) ?? "1",
      findings,
    });
  }
  if (entry.kind === "planned") draft.plannedSettings = { ...draft.settings };
}
