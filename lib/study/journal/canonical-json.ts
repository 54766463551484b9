import { BeadbenchError } from "../../errors/index.js";

/**
 * JSON text with sorted keys and no white space: equal data gives equal text.
 *
 * @throws {BeadbenchError} `bad-argument` for what JSON cannot carry (NaN, infinity, functions)
 * @source JSON Canonicalization Scheme, RFC 8785: keys sorted by UTF-16 units, numbers as ECMAScript writes them
 */
export function canonicalJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(",")}]`;
  if (value !== null && typeof value === "object") {
    let fields = "";
    for (const key of Object.keys(value).sort()) {
      const field: unknown = Reflect.get(value, key);
      if (field !== undefined)
        fields += `${fields === "" ? "" : ","}${JSON.stringify(key)}:${canonicalJson(field)}`;
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
