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
  if (Array.isArray(value)) return `[${value.map((item) => canonicalBeside(item)).join(",")}]`;
  if (value !== null && typeof value === "object") {
    let fields = "";
    for (const key of Object.keys(value).sort()) {
      const field = ownValue(value as Readonly<Record<string, unknown>>, key);
      if (field === undefined || key === omitted) continue;
      if (fields !== "") fields += ",";
      fields += `${PLAIN.test(key) ? `"${key}"` : JSON.stringify(key)}:${canonicalBeside(field)}`;
    }
    return `{${fields}}`;
  }
  const plain = value === null || typeof value === "string" || typeof value === "boolean";
  if (!plain && !(typeof value === "number" && Number.isFinite(value))) {
    throw new BeadbenchError(
      "bad-argument",
      `a journal cannot hold ${String(value)}; leave the field out instead`,
    );
  }
  return JSON.stringify(value);
}

/** Keys that stand in JSON as they are. */
const PLAIN = /^\w+$/;
