import { BeadbenchError } from "../errors/index.js";

/**
 * JSON text with sorted keys and no white space: equal data gives equal text.
 *
 * @throws {BeadbenchError} `bad-argument` for what JSON cannot carry (NaN, infinity, functions)
 * @source JSON Canonicalization Scheme, RFC 8785: keys sorted by UTF-16 units, numbers as ECMAScript writes them
 * @example canonicalJson({ b: 1, a: [2, "x"] }) // => '{"a":[2,"x"],"b":1}'
 */
export function canonicalJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(",")}]`;
  if (value !== null && typeof value === "object") {
    const fields = Object.entries(value)
      .filter(([, field]) => field !== undefined)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, field]) => `${JSON.stringify(key)}:${canonicalJson(field)}`);
    return `{${fields.join(",")}}`;
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
