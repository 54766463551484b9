import { z } from "zod";
import { findUnit, isUnit, readQuantity, unitExamples } from "../../units/index.js";
import { STUDY_SCHEMA } from "./definition.js";
import { isName, NAME_RULE } from "./name-rule.js";
import { type ResponseKind, responseKinds } from "./response-kind.js";

const text = z.string().trim().min(1, "must not be empty");
const finite = z.number();
const positive = finite.positive("must be above 0");
const notNegative = finite.nonnegative("must be at least 0");

/** A name of the study, fit to head a CSV column. */
const name = text.refine(isName, NAME_RULE);
const unit = z
  .string()
  .refine(isUnit, `unknown unit; ${unitExamples()}`)
  .transform((spelling) => findUnit(spelling).symbol);

/** A quantity as an object, or as one text such as `"1.2 mm"`; `like` is a unit of the wanted kind. */
const quantity = (like?: string) =>
  z.preprocess(
    (raw, context) => {
      if (typeof raw !== "string") return raw;
      const found = readQuantity(raw, { like });
      if (typeof found !== "string") return found;
      context.addIssue({ code: "custom", message: found });
      return z.NEVER;
    },
    z.strictObject({ value: finite, unit }),
  );

const wire = { classification: text, diameter: quantity("mm"), material: text.optional() };
const base = {
  material: text.optional(),
  thickness: quantity("mm").optional(),
  diameter: quantity("mm").optional(),
};
const gas = {
  // Main groups and subgroups of ISO 14175:2008 Table 2 (from memory), with or without composition.
  code: text.regex(
    /^(ISO 14175[ -]+)?(I[1-3]|M1[1-4]|M2[0-7]|M3[1-5]|C[12]|R[12]|N[1-5]|O1|Z)\b/,
    'must be an ISO 14175 designation, such as "I1" for argon or "M21" for argon with 15-25 % CO2',
  ),
  flow: quantity("L/min").optional(),
};
const rig = {
  name: text.optional(),
  settings: z.record(name, quantity()).default({}),
  efficiency: positive.max(1, "must be at most 1").optional(),
};
const factor = {
  name,
  unit: unit.optional(),
  kind: z.enum(["continuous", "discrete", "category"]).default("continuous"),
  low: finite.optional(),
  high: finite.optional(),
  step: positive.optional(),
  change: z.enum(["easy", "hard"]).default("easy"),
  levels: z
    .array(z.union([finite, text]))
    .min(2, "needs at least two levels")
    .optional(),
  settingSd: notNegative.optional(),
};
const spec = { lower: finite.optional(), target: finite.optional(), upper: finite.optional() };
const kinds = Object.keys(responseKinds) as ResponseKind[];
const response = {
  name,
  unit: unit.optional(),
  kind: z.enum(kinds).default("measured"),
  spec: z.strictObject(spec).optional(),
  gaugeSd: notNegative.optional(),
  scale: z.enum(["linear", "log"]).default("linear"),
};
const quantityLimit = { quantity: name, unit, min: finite.optional(), max: finite.optional() };
const linearLimit = {
  terms: z.record(name, finite),
  name: text.optional(),
  min: finite.optional(),
  max: finite.optional(),
};
const costs = {
  currency: text.optional(),
  gasPerM3: notNegative.optional(),
  wirePerKg: notNegative.optional(),
  labourPerHour: notNegative.optional(),
  materialPerCoupon: notNegative.optional(),
  minutesPerCoupon: notNegative.optional(),
  minutesPerHardChange: notNegative.optional(),
};
/** A number alone stands for one without a unit. */
const priorValue = z.preprocess(
  (raw) => (typeof raw === "number" ? { value: raw, unit: "1" } : raw),
  quantity(),
);
const study = {
  schema: z.literal(STUDY_SCHEMA),
  name: text,
  process: z
    .string()
    .regex(/^[1-9]\d{1,2}$/, 'must be an ISO 4063 process number as text, such as "141", "135" or "521"'),
  wire: z.strictObject(wire),
  base: z.strictObject(base).optional(),
  gas: z.strictObject(gas).optional(),
  rig: z.strictObject(rig).optional(),
  factors: z.array(z.strictObject(factor)).min(1, "needs at least one factor"),
  responses: z.array(z.strictObject(response)).min(1, "needs at least one response"),
  limits: z.array(z.union([z.strictObject(quantityLimit), z.strictObject(linearLimit)])).default([]),
  blocks: z.array(name).default([]),
  costs: z.strictObject(costs).optional(),
  priors: z.record(name, priorValue).optional(),
  seed: finite.int("must be a whole number").nonnegative("must be at least 0").default(1),
};

/** Shape of study.json; what one field alone can be wrong in. */
export const studySchema = z.strictObject(study);

/** The parsed shape, before the rules between fields are checked and factors completed. */
export type RawStudy = z.output<typeof studySchema>;

/** Fields of each object of study.json, keyed by its path without array positions. */
export const knownFields: Readonly<Record<string, readonly string[]>> = {
  "": Object.keys(study),
  wire: Object.keys(wire),
  base: Object.keys(base),
  gas: Object.keys(gas),
  rig: Object.keys(rig),
  factors: Object.keys(factor),
  responses: Object.keys(response),
  "responses.spec": Object.keys(spec),
  limits: [...new Set([...Object.keys(quantityLimit), ...Object.keys(linearLimit)])],
  costs: Object.keys(costs),
};
/** Fields of a quantity, wherever it stands. */
export const quantityFields: readonly string[] = ["value", "unit"];
