/** Lists of numbers at least this long are packed; shorter ones read better as they are. */
const LONG = 8;

const isLong = (value: unknown): value is readonly number[] =>
  Array.isArray(value) && value.length >= LONG && value.every((item) => typeof item === "number");

/**
 * Plain data as JSON for a page: long lists of numbers as their bytes, to half the size and to the last bit, and no `<`,
 * so that nothing in it ends the element it stands in.
 */
export function packData(data: unknown): string {
  return JSON.stringify(data, (_, value: unknown) =>
    isLong(value) ? { f64: Buffer.from(Float64Array.from(value).buffer).toString("base64") } : value,
  ).replaceAll("<", "\\u003c");
}

/** The data that {@link packData} packed; runs in the page. */
export function unpackData(text: string): unknown {
  return JSON.parse(text, (_, value: unknown) =>
    typeof value === "object" && value !== null && "f64" in value && typeof value.f64 === "string"
      ? Array.from(new Float64Array(Uint8Array.from(atob(value.f64), (byte) => byte.charCodeAt(0)).buffer))
      : value,
  );
}
