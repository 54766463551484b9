import { BeadbenchError, ownValue } from "../../errors/index.js";

/**
 * JSON text with sorted keys and no white space: equal data gives equal text.
 *
 * @throws {BeadbenchError} `bad-argument` for what JSON cannot carry (NaN, infinity, functions)
 * @source JSON Canonicalization Scheme, RFC 8785: keys sorted by UTF-16 units, numbers as ECMAScript writes them
 */
export const canonicalJson = (value: unknown): string => canonicalBeside(value);

/** The same of an object but for one field. */
export function canonicalBeside(value: unknown, omitted?: string): string {
  if (typeof value === "string") return textOf(value);
  if (Array.isArray(value)) return `[${value.map((item) => canonicalBeside(item)).join(",")}]`;
  if (value !== null && typeof value === "object") {
    let fields = "";
    for (const key of sorted(Object.keys(value))) {
      const field = ownValue(value as Readonly<Record<string, unknown>>, key);
      if (field === undefined || key === omitted) continue;
      if (fields !== "") fields += ",";
      fields += `${textOf(key)}:${canonicalBeside(field)}`;
    }
    return `{${fields}}`;
  }
  if (value !== null && typeof value !== "boolean" && !Number.isFinite(value)) {
    throw new BeadbenchError(
      "bad-argument",
      `a journal cannot hold ${String(value)}; leave the field out instead`,
    );
  }
  return JSON.stringify(value);
}

/** Texts that stand in JSON as they are. */
const PLAIN = /^[ !#-[\]-~]*$/;

const textOf = (text: string): string => (PLAIN.test(text) ? `"${text}"` : JSON.stringify(text));

/** Sorts a few keys in place: less work than the sort of the language, which is made for many. */
function sorted(keys: string[]): string[] {
  if (keys.length > 20) return keys.sort();
  for (let i = 1; i < keys.length; i++) {
    const key = keys[i]!;
    let j = i;
    for (; j > 0 && keys[j - 1]! > key; j--) keys[j] = keys[j - 1]!;
    keys[j] = key;
  }
  return keys;
}
