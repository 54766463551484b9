import type { Issue } from "./error.js";
import { jsonLine } from "./json-line.js";
import { shownValue } from "./shown-value.js";

/** What a checker of shapes says of one value; zod's issues are such. */
export interface SchemaFault {
  readonly path: readonly PropertyKey[];
  readonly message: string;
  readonly code?: string | undefined;
  readonly expected?: string;
  readonly format?: string;
  readonly inclusive?: boolean | undefined;
  readonly keys?: readonly string[];
  readonly maximum?: number | bigint;
  readonly minimum?: number | bigint;
  readonly origin?: string;
  readonly values?: readonly unknown[];
  /** Of a value that may be one of several: what each of them says. */
  readonly errors?: readonly (readonly SchemaFault[])[];
}

/** A JSON file as it was read: its name, its text, and what the text holds. */
export interface ReadJson {
  readonly file: string;
  readonly text: string;
  readonly raw: unknown;
}

/**
 * Faults that a checker of shapes found in a JSON file, each with its line, its path, the value found, and the rule in this
 * library's words.
 */
export function schemaIssues(
  { file, text, raw }: ReadJson,
  faults: readonly SchemaFault[],
): readonly Issue[] {
  return faults.map((fault) => {
    const { path } = fault;
    const got = valueAt(raw, path);
    const rule = ruleOf(fault);
    return {
      file,
      line: jsonLine(text, path),
      column: path.length === 0 ? "(top)" : path.join("."),
      message: got === undefined ? `is missing; ${rule}` : rule,
      ...(got === undefined ? {} : { got: shownValue(got) }),
    };
  });
}

const valueAt = (raw: unknown, path: readonly PropertyKey[]): unknown =>
  path.reduce<unknown>(
    (value, key) =>
      typeof value === "object" && value !== null && Object.hasOwn(value, key)
        ? Reflect.get(value, key)
        : undefined,
    raw,
  );

const kinds: ReadonlyMap<string, string> = new Map([
  ["string", "a text"],
  ["number", "a number"],
  ["int", "a whole number"],
  ["boolean", "true or false"],
  ["array", "a list [ ... ]"],
  ["object", "an object { ... }"],
  ["record", "an object { ... }"],
]);
const formats: ReadonlyMap<string, string> = new Map([
  ["date", "a date such as 2026-04-01"],
  ["datetime", "a date and time such as 2026-04-01T08:00:00Z"],
]);
const oneOf = (words: readonly string[]): string =>
  words.length > 1 ? `must be one of ${words.join(", ")}` : `must be ${words.join()}`;

/** A rule broken, as people would say it; the value found is told beside it. Rules that were given words keep them. */
function ruleOf(fault: SchemaFault): string {
  const {
    code,
    message,
    expected = "",
    format = "",
    inclusive,
    keys = [],
    maximum,
    minimum,
    origin,
    values = [],
  } = fault;
  const kind = kinds.get(expected);
  if (!/^(?:Invalid|Too|Unrecognized)/.test(message)) return message;
  if (code === "invalid_type" && kind !== undefined) return `must be ${kind}`;
  if (code === "invalid_value") return oneOf(values.map((value) => JSON.stringify(value)));
  if (code === "unrecognized_keys")
    return `takes no field ${keys.map((key) => JSON.stringify(key)).join(", ")}; mend its name or take it out`;
  if (code === "invalid_format" && formats.has(format)) return `must be ${formats.get(format)}`;
  if (code === "too_small" && origin === "string") return "must not be empty";
  if (code === "too_small" && origin === "array") return `needs at least ${minimum} entries`;
  if (code === "too_small") return `must be ${inclusive === true ? "at least" : "above"} ${minimum}`;
  if (code === "too_big") return `must be ${inclusive === true ? "at most" : "below"} ${maximum}`;
  const ways = new Set((fault.errors ?? []).flatMap((faults) => faults.map(ruleOf)));
  return ways.size > 0 ? [...ways].join(", or ") : message.replace(/^Invalid input: expected/, "must be");
}
