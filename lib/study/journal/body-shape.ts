import { isUnit, unitExamples } from "../../units/index.js";
import { isName, NAME_RULE } from "../definition/index.js";
import {
  anyOf,
  text as anyText,
  list,
  nothing,
  number,
  object,
  oneOf,
  optional,
  record,
  type Shape,
  type ShapeFault,
  truth,
  where,
} from "../shape/index.js";
import type { EntryBody } from "./journal-entry.js";

const text = where(
  anyText,
  (found) => /^[^\s\0](?:[^\0]*[^\s\0])?$/.test(found),
  "must not be empty, nor begin or end with a blank",
);
/** No way out of the folder: no path of any system. */
const isPlainFile = (name: string): boolean => !/[/\\]/.test(name) && name !== "." && name !== "..";
const word = where(anyText, isName, NAME_RULE);
const unit = where(anyText, isUnit, `unknown unit; ${unitExamples()}`);
const quantity = object({ value: number, unit });
const whole = where(
  number,
  (value) => Number.isSafeInteger(value) && value > 0,
  "must be a whole number above 0",
);
const values = record(word, anyOf("a number, a text, true or false", number, text, truth));
const corrections = record(
  word,
  anyOf("a number, a text, true, false or null", number, text, truth, nothing),
);
const reading = where(list(number), ({ length }) => length > 0, "needs at least one reading");
const units = optional(record(word, unit));
const readings = optional(record(word, reading));
const remark = optional(text);
const coupon = optional(text);
const build = optional(text);
const exposure = optional(record(word, quantity));
const run = { coupon, order: optional(whole), values, units, readings, role: optional(text), note: remark };

const kind = <const K extends EntryBody["kind"]>(name: K): { readonly kind: Shape<K> } => ({
  kind: oneOf(name),
});

const bodies = {
  planned: object({ ...kind("planned"), ...run }),
  logged: object({ ...kind("logged"), ...run }),
  corrected: object({
    ...kind("corrected"),
    entry: whole,
    values: optional(corrections),
    units,
    readings,
    reason: text,
  }),
  voided: object({ ...kind("voided"), coupon, entry: optional(whole), reason: text }),
  incident: object({
    ...kind("incident"),
    what: word,
    outcome: oneOf("carried_on", "resumed", "scrapped"),
    cause: remark,
    coupon,
    build,
    layer: optional(whole),
    exposure,
    lostTime: optional(quantity),
    note: remark,
  }),
  change: object({
    ...kind("change"),
    what: word,
    detail: remark,
    before: coupon,
    build,
    life: optional(quantity),
  }),
  build: object({
    ...kind("build"),
    build: text,
    event: oneOf("started", "progress", "paused", "resumed", "ended"),
    layer: optional(
      where(
        number,
        (value) => Number.isSafeInteger(value) && value >= 0,
        "must be a whole number, 0 or more",
      ),
    ),
    exposure,
    values: optional(record(word, number)),
    units,
    outcome: optional(oneOf("finished", "scrapped", "given_up")),
    plan: optional(text),
    note: remark,
  }),
  note: object({ ...kind("note"), text, coupon }),
  attached: object({
    ...kind("attached"),
    file: where(text, isPlainFile, "must be the name of a file in the folder attachments, without a path"),
    sha256: where(anyText, ({ length }) => length === 64, "must have 64 hexadecimal digits"),
    coupon,
    note: remark,
  }),
} as const satisfies { readonly [K in EntryBody["kind"]]: Shape<Extract<EntryBody, { readonly kind: K }>> };

const anyKind = oneOf(...(Object.keys(bodies) as EntryBody["kind"][]));

/** What is wrong with the shape of an entry body; empty when nothing is. */
export function bodyFaults(body: unknown): readonly ShapeFault[] {
  const faults: ShapeFault[] = [];
  const named = body !== null && typeof body === "object" && "kind" in body ? body.kind : undefined;
  const name = anyKind(named, faults);
  if (faults.length > 0) return faults.map((fault) => ({ ...fault, path: ["kind"] }));
  bodies[name](body, faults);
  return faults;
}

/** Whether a value read from a journal has the shape of an entry body. */
export function isEntryBody(body: unknown): body is EntryBody {
  return bodyFaults(body).length === 0;
}
