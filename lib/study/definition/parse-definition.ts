import type { z } from "zod";
import { errorFromIssues, type Issue } from "../../errors/index.js";
import { completeDefinition } from "./complete-definition.js";
import type { StudyDefinition } from "./definition.js";
import { knownFields, quantityFields, studySchema } from "./definition-schema.js";
import { suggestion } from "./nearest-name.js";

/**
 * Reads a study definition from parsed JSON, fills defaults and completes factors.
 * Every fault is listed with its JSON path, the value found and how to mend it; an unknown field is a fault.
 *
 * @param json - what JSON.parse gave
 * @param file - name shown in messages
 * @throws {BeadbenchError} `bad-study`, with all faults in `details.issues`
 */
export function parseStudyDefinition(json: unknown, file?: string): StudyDefinition {
  const parsed = studySchema.safeParse(json);
  const result = parsed.success
    ? completeDefinition(parsed.data)
    : { issues: parsed.error.issues.flatMap((issue) => describe(issue, [], json)) };
  if ("definition" in result) return result.definition;
  const issues = result.issues.map((issue) => (file === undefined ? issue : { file, ...issue }));
  throw errorFromIssues("bad-study", `the study definition has ${countFaults(issues.length)}:`, issues);
}

const countFaults = (n: number): string => (n === 1 ? "a fault" : `${n} faults`);

type ZodIssue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

/** `factors[2].low`; the definition itself is `(top)`. */
function formatPath(path: Path): string {
  const joined = path.map((key) => (typeof key === "number" ? `[${key}]` : `.${String(key)}`)).join("");
  return joined === "" ? "(top)" : joined.replace(/^\./, "");
}

function valueAt(json: unknown, path: Path): unknown {
  return path.reduce<unknown>((value, key) => {
    if (value !== null && typeof value === "object") return Reflect.get(value, key);
    // A quantity written as one text is shown whole.
    return typeof value === "string" ? value : undefined;
  }, json);
}

function describe(issue: ZodIssue, parent: Path, json: unknown): Issue[] {
  const path = [...parent, ...issue.path];
  const found = valueAt(json, path);
  const column = formatPath(path);
  if (issue.code === "unrecognized_keys") {
    const place = path.filter((key) => typeof key === "string").join(".");
    const fields = knownFields[place] ?? quantityFields;
    return issue.keys.map((key) => ({
      column: formatPath([...path, key]),
      message: `unknown field${suggestion(key, fields) || `; known here: ${fields.join(", ")}`}`,
    }));
  }
  if (issue.code === "invalid_union") {
    // Of the two forms of a limit, report on the one that was meant.
    const linear = found !== null && typeof found === "object" && "terms" in found;
    const branch = issue.errors.length === 2 && linear ? issue.errors[1] : issue.errors[0];
    return column.startsWith("limits") && branch !== undefined
      ? branch.flatMap((inner) => describe(inner, path, json))
      : [{ column, message: "must be a number or a text", got: show(found) }];
  }
  const message = isQuantity(issue, path)
    ? 'must be a quantity such as "1.2 mm", "5/64 in" or "18 AWG"'
    : mend(issue);
  if (found === undefined) return [{ column, message: `is missing; ${message}` }];
  return [{ column, message, got: show(found) }];
}

/** Every object that is not one of the known places holds a value and its unit. */
function isQuantity(issue: ZodIssue, path: Path): boolean {
  const place = path.filter((key) => typeof key === "string").join(".");
  return issue.code === "invalid_type" && issue.expected === "object" && knownFields[place] === undefined;
}

const show = (value: unknown): string => (typeof value === "string" ? value : JSON.stringify(value));

function mend(issue: ZodIssue): string {
  switch (issue.code) {
    case "invalid_type":
      return `must be ${typeNames[issue.expected] ?? `a ${issue.expected}`}`;
    case "invalid_value":
      return `must be ${issue.values.map((value) => JSON.stringify(value)).join(" or ")}`;
    case "invalid_key":
      return issue.issues[0]?.message ?? issue.message;
    default:
      return issue.message;
  }
}

const typeNames: Readonly<Record<string, string>> = {
  object: "an object { ... }",
  array: "a list [ ... ]",
  string: "a text",
  number: "a number",
  record: "an object { name: value }",
};
