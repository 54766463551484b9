import { type Issue, onlyDefined, ownValue } from "../../errors/index.js";
import type { StudyDefinition } from "../definition/index.js";
import { findColumn } from "../definition/index.js";
import type {
  CorrectedBody,
  CouponRecord,
  Entry,
  EntryBody,
  LoggedBody,
  PlannedBody,
} from "../journal/index.js";
import { applyCorrection, bodyFaults, type CouponEntry, effectiveEntries } from "../journal/index.js";
import { shapeIssue, suggestion } from "../shape/index.js";
import { checkBuilds, type KnownBuilds, knownBuilds, rememberStep } from "./build-rules.js";
import { type AddIssue, type ColumnRules, checkColumns } from "./check-columns.js";
import {
  CouponNumbers,
  type KnownCoupon,
  knownCoupons,
  knownText,
  remember,
  sameKnown,
} from "./known-coupons.js";

/** Bodies ready to be written, and what is wrong with those that are not. */
export interface Prepared {
  readonly bodies: readonly EntryBody[];
  /** `column` names the field; `line` is the 1-based position in the list given. */
  readonly issues: readonly Issue[];
}

interface State extends ColumnRules {
  readonly known: Map<string, KnownCoupon>;
  readonly numbers: CouponNumbers;
  readonly entries: readonly Entry[];
  readonly standing: ReadonlyMap<number, CouponEntry>;
  readonly builds: KnownBuilds;
  order: number;
}

/** Checks bodies against the study and completes coupon ids, run order and units. */
export function prepareEntries(
  definition: StudyDefinition,
  entries: readonly Entry[],
  bodies: readonly EntryBody[],
): Prepared {
  const standing = effectiveEntries(entries);
  const known = knownCoupons(definition, entries);
  const state: State = {
    definition,
    known,
    numbers: new CouponNumbers(known.keys()),
    entries,
    standing: new Map(standing.map((entry) => [entry.seq, entry])),
    builds: knownBuilds(entries),
    contextUnits: new Map(standing.flatMap((entry) => Object.entries(entry.units ?? {})).reverse()),
    order: standing.reduce((highest, entry) => Math.max(highest, entry.order ?? 0), 0),
  };
  const ready: EntryBody[] = [];
  const issues: Issue[] = [];
  bodies.forEach((body, i) => {
    const add = (column: string, message: string): void => {
      issues.push({ line: i + 1, column, message });
    };
    const before = issues.length;
    for (const fault of bodyFaults(body)) issues.push({ line: i + 1, ...shapeIssue(fault) });
    if (issues.length > before) return;
    const complete = prepareOne(state, body, add);
    if (issues.length > before) return;
    ready.push(complete);
    if (complete.kind === "build") rememberStep(state.builds, complete);
    if (complete.kind === "planned" || complete.kind === "logged") {
      remember({ known, definition, id: complete.coupon!, record: complete, seq: 0 });
      state.numbers.take(complete.coupon!);
    }
  });
  return { bodies: ready, issues };
}

function prepareOne(state: State, body: EntryBody, add: AddIssue): EntryBody {
  switch (body.kind) {
    case "planned":
    case "logged":
      return prepareRecord(state, body, add);
    case "corrected":
      return prepareCorrection(state, body, add);
    case "voided":
      if ((body.coupon === undefined) === (body.entry === undefined))
        add("coupon", "name either a coupon or an entry");
      if (body.entry !== undefined && !state.entries.some(({ seq }) => seq === body.entry)) {
        add("entry", `there is no entry ${body.entry}`);
      }
      break;
    default:
      break;
  }
  if ("coupon" in body && body.coupon !== undefined)
    requireCoupon({ state, id: body.coupon, field: "coupon", add });
  if (body.kind === "change" && body.before !== undefined)
    requireCoupon({ state, id: body.before, field: "before", add });
  checkBuilds(state.builds, body, add);
  return body;
}

function requireCoupon({
  state,
  id,
  field,
  add,
}: {
  readonly state: State;
  readonly id: string;
  readonly field: string;
  readonly add: AddIssue;
}): void {
  if (!state.known.has(id)) add(field, `there is no coupon ${id}${suggestion(id, [...state.known.keys()])}`);
}

function prepareRecord(state: State, body: PlannedBody | LoggedBody, add: AddIssue): EntryBody {
  const id = body.coupon ?? state.numbers.next();
  const known = state.known.get(id);
  if (body.kind === "planned" && known !== undefined)
    add("coupon", `coupon ${id} exists already; choose another id`);
  if (known?.voided === true) add("coupon", `coupon ${id} is voided; log a new coupon`);
  const { columns, units } = checkColumns(state, body, add);
  if (known === undefined) {
    for (const { name } of state.definition.factors) {
      if (ownValue(body.values, name) === undefined) add(name, `coupon ${id} needs its setting of ${name}`);
    }
    state.order = Math.max(state.order + (body.order === undefined ? 1 : 0), body.order ?? 0);
  }
  for (const [name, value] of columns) {
    const logged = body.kind === "logged" ? known?.logged.get(name) : undefined;
    if (logged !== undefined && !sameKnown(logged.value, value)) {
      add(
        name,
        `coupon ${id} has ${name} = ${knownText(logged.value)} already (entry ${logged.seq}), now it says ${knownText(value)}; to change it, log a correction`,
      );
    }
  }
  const order = body.order ?? (known === undefined ? state.order : undefined);
  return { ...body, coupon: id, ...onlyDefined({ order }), units };
}

function prepareCorrection(state: State, body: CorrectedBody, add: AddIssue): EntryBody {
  const target = state.standing.get(body.entry);
  if (target === undefined) {
    const kind = state.entries.find(({ seq }) => seq === body.entry)?.kind;
    const why =
      kind === undefined
        ? `there is no entry ${body.entry}`
        : `entry ${body.entry} is ${kind}, or voided; void it and log anew`;
    add("entry", why);
    return body;
  }
  for (const [name, value] of Object.entries(body.values ?? {})) {
    if (value === null && findColumn(state.definition, name).role === "factor") {
      add(name, `${name} is a setting and cannot be withdrawn; void the coupon instead`);
    }
  }
  const named = [
    ...Object.keys(body.values ?? {}),
    ...Object.keys(body.readings ?? {}),
    ...Object.keys(body.units ?? {}),
  ];
  if (named.length === 0) add("values", "a correction needs a value, readings or a unit to change");
  const corrected = applyCorrection(target, body);
  const { units } = checkColumns(state, { ...corrected, units: unitsOfPresent(corrected) }, add);
  const changed = Object.fromEntries(Object.entries(units).filter(([name]) => named.includes(name)));
  return { ...body, ...(Object.keys(changed).length === 0 ? {} : { units: changed }) };
}

/** Units of columns still there: a withdrawn value leaves its unit behind. */
function unitsOfPresent(record: CouponRecord): Readonly<Record<string, string>> {
  const present = (name: string): boolean =>
    Object.hasOwn(record.values, name) || Object.hasOwn(record.readings ?? {}, name);
  return Object.fromEntries(Object.entries(record.units ?? {}).filter(([name]) => present(name)));
}
