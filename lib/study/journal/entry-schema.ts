import { z } from "zod";
import { isUnit, unitExamples } from "../../units/index.js";
import { isName, NAME_RULE } from "../definition/index.js";
import type { EntryBody } from "./journal-entry.js";

const text = z
  .string()
  .regex(/^[^\s\0](?:[^\0]*[^\s\0])?$/, "must not be empty, nor begin or end with a blank");
const word = z.string().refine(isName, NAME_RULE);
const unit = z.string().refine(isUnit, `unknown unit; ${unitExamples()}`);
const quantity = z.strictObject({ value: z.number(), unit });
const value = z.union([z.number(), text, z.boolean()]);
const units = z.record(word, unit).optional();
const readings = z.record(word, z.array(z.number()).min(1, "needs at least one reading")).optional();
const note = text.optional();
const coupon = text.optional();
const order = z.int().positive().optional();
const seq = z.int().positive();

const bodies = [
  z.strictObject({
    kind: z.literal("planned"),
    coupon,
    order,
    values: z.record(word, value),
    units,
    readings,
    role: text.optional(),
    note,
  }),
  z.strictObject({
    kind: z.literal("logged"),
    coupon,
    order,
    values: z.record(word, value),
    units,
    readings,
    role: text.optional(),
    note,
  }),
  z.strictObject({
    kind: z.literal("corrected"),
    entry: seq,
    values: z.record(word, value.nullable()).optional(),
    units,
    readings,
    reason: text,
  }),
  z.strictObject({ kind: z.literal("voided"), coupon, entry: seq.optional(), reason: text }),
  z.strictObject({
    kind: z.literal("incident"),
    what: word,
    outcome: z.enum(["carried_on", "resumed", "scrapped"]),
    coupon,
    exposure: z.record(word, quantity).optional(),
    lostTime: quantity.optional(),
    note,
  }),
  z.strictObject({ kind: z.literal("change"), what: word, detail: note, before: coupon }),
  z.strictObject({ kind: z.literal("note"), text, coupon }),
  z.strictObject({ kind: z.literal("attached"), file: text, sha256: z.string().length(64), coupon, note }),
] as const;

const bodySchema = z.discriminatedUnion("kind", bodies);

/** What is wrong with the shape of an entry body; empty when nothing is. */
export function bodyFaults(body: unknown): readonly { readonly path: string; readonly message: string }[] {
  const result = bodySchema.safeParse(body);
  if (result.success) return [];
  return result.error.issues.map((issue) => ({ path: issue.path.join("."), message: issue.message }));
}

/** Whether a value read from a journal has the shape of an entry body. */
export function isEntryBody(body: unknown): body is EntryBody {
  return bodySchema.safeParse(body).success;
}
