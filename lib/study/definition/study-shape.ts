import { onlyDefined } from "../../errors/index.js";
import { findUnit, isUnit, readQuantity, unitExamples } from "../../units/index.js";
import {
  anyOf,
  text as anyText,
  changed,
  list,
  number,
  object,
  oneOf,
  optional,
  otherwise,
  record,
  type Shape,
  type Shaped,
  where,
} from "../shape/index.js";
import { type Quantity, STUDY_SCHEMA } from "./definition.js";
import { isName, NAME_RULE } from "./name-rule.js";
import { type ResponseKind, responseKinds } from "./response-kind.js";

const text = where(
  changed(anyText, (found) => found.trim()),
  (found) => found !== "",
  "must not be empty",
);
const positive = where(number, (value) => value > 0, "must be above 0");
const notNegative = where(number, (value) => value >= 0, "must be at least 0");

/** A name of the study, fit to head a CSV column. */
const name = where(text, isName, NAME_RULE);
const unit = changed<string, string>(anyText, (spelling, refuse) =>
  isUnit(spelling) ? findUnit(spelling).symbol : refuse(`unknown unit; ${unitExamples()}`),
);

const quantityObject = object(
  { value: number, unit },
  { wanted: 'a quantity such as "1.2 mm", "5/64 in" or "18 AWG"' },
);
/** A quantity as an object, or as one text such as `"1.2 mm"`; `like` is a unit of the wanted kind. */
const quantity = (like?: string): Shape<Quantity> => {
  const written = changed<string, Quantity>(anyText, (spelling, refuse) => {
    const found = readQuantity(spelling, onlyDefined({ like }));
    return typeof found === "string" ? refuse(found) : found;
  });
  return (value, faults) => (typeof value === "string" ? written : quantityObject)(value, faults);
};

const wire = object({ classification: text, diameter: quantity("mm"), material: optional(text) });
const base = object({
  material: optional(text),
  thickness: optional(quantity("mm")),
  diameter: optional(quantity("mm")),
});
// Main groups and subgroups of ISO 14175:2008 Table 2 (from memory), with or without composition.
const gasCode = /^(ISO 14175[ -]+)?(I[1-3]|M1[1-4]|M2[0-7]|M3[1-5]|C[12]|R[12]|N[1-5]|O1|Z)\b/;
const gas = object({
  code: where(
    text,
    (code) => gasCode.test(code),
    'must be an ISO 14175 designation, such as "I1" for argon or "M21" for argon with 15-25 % CO2',
  ),
  flow: optional(quantity("L/min")),
});
const rig = object({
  name: optional(text),
  settings: otherwise(record(name, quantity()), {}),
  efficiency: optional(where(positive, (value) => value <= 1, "must be at most 1")),
});
const level = anyOf("a number or a text", number, text);
const factor = object({
  name,
  unit: optional(unit),
  kind: otherwise(oneOf("continuous", "discrete", "category"), "continuous"),
  low: optional(number),
  high: optional(number),
  step: optional(positive),
  change: otherwise(oneOf("easy", "hard"), "easy"),
  levels: optional(where(list(level), ({ length }) => length >= 2, "needs at least two levels")),
  settingSd: optional(notNegative),
});
const spec = object({ lower: optional(number), target: optional(number), upper: optional(number) });
const kinds = Object.keys(responseKinds) as ResponseKind[];
const response = object({
  name,
  unit: optional(unit),
  kind: otherwise(oneOf(...kinds), "measured"),
  spec: optional(spec),
  good: optional(oneOf("yes", "no")),
  gaugeSd: optional(notNegative),
  scale: otherwise(oneOf("linear", "log"), "linear"),
});

const bounds = { min: optional(number), max: optional(number) };
const known = ["quantity", "unit", "min", "max", "terms", "name"];
const quantityLimit = object({ quantity: name, unit, ...bounds }, { known });
const linearLimit = object({ terms: record(name, number), name: optional(text), ...bounds }, { known });
/** Of the two forms of a limit, the one that was meant. */
const limit: Shape<Shaped<typeof quantityLimit> | Shaped<typeof linearLimit>> = (value, faults) => {
  const linear = value !== null && typeof value === "object" && "terms" in value;
  return (linear ? linearLimit : quantityLimit)(value, faults);
};

const costs = object({
  currency: optional(text),
  gasPerM3: optional(notNegative),
  wirePerKg: optional(notNegative),
  labourPerHour: optional(notNegative),
  materialPerCoupon: optional(notNegative),
  minutesPerCoupon: optional(notNegative),
  minutesPerHardChange: optional(notNegative),
});
const prior = quantity();
/** A number alone stands for one without a unit. */
const priorValue: Shape<Quantity> = (value, faults) =>
  prior(typeof value === "number" ? { value, unit: "1" } : value, faults);

/** Shape of study.json; what one field alone can be wrong in. */
export const studyShape = object({
  schema: oneOf(STUDY_SCHEMA),
  name: text,
  process: where(
    anyText,
    (code) => /^[1-9]\d{1,2}$/.test(code),
    'must be an ISO 4063 process number as text, such as "141", "135" or "521"',
  ),
  wire: optional(wire),
  base: optional(base),
  gas: optional(gas),
  rig: optional(rig),
  factors: where(list(factor), ({ length }) => length > 0, "needs at least one factor"),
  responses: where(list(response), ({ length }) => length > 0, "needs at least one response"),
  limits: otherwise(list(limit), []),
  blocks: otherwise(list(name), []),
  costs: optional(costs),
  priors: optional(record(name, priorValue)),
  known: optional(list(text)),
  seed: otherwise(where(notNegative, Number.isSafeInteger, "must be a whole number"), 1),
});

/** What the shape gives, before the rules between fields are checked and factors completed. */
export type RawStudy = Shaped<typeof studyShape>;
