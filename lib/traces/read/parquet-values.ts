import type { ColumnDecoder } from "hyparquet/src/types.js";

/**
 * Numbers as a plain page holds them; undefined for types that need more than that (decimals, texts).
 *
 * @param page - decompressed values
 * @throws {Error} for a page that is too short
 */
export function plainNumbers(
  { type, element }: ColumnDecoder,
  page: Uint8Array,
  count: number,
): Float64Array | undefined {
  const width =
    type === "DOUBLE" || type === "INT64" ? 8 : type === "FLOAT" || type === "INT32" ? 4 : undefined;
  if (width === undefined || element.converted_type === "DECIMAL") return undefined;
  if (page.length < count * width) throw new Error("a page shorter than its values");
  // Copied to an address that typed arrays can stand at.
  const bytes = page.slice(0, count * width).buffer as ArrayBuffer;
  if (type === "DOUBLE") return new Float64Array(bytes);
  if (type === "FLOAT") return Float64Array.from(new Float32Array(bytes));
  return type === "INT32"
    ? Float64Array.from(new Int32Array(bytes))
    : Float64Array.from(new BigInt64Array(bytes), Number);
}

/**
 * Whole numbers of the format's hybrid of runs and packed bits.
 *
 * @throws {Error} where the bytes end before the numbers do
 * @source Apache Parquet format, Encodings, "Run Length Encoding / Bit-Packing Hybrid (RLE = 3)"
 */
export function runsOf(
  bytes: Uint8Array,
  { width, count }: { readonly width: number; readonly count: number },
): Int32Array {
  if (width > 32) throw new Error("numbers of more than 32 bits");
  const found = new Int32Array(count);
  const mask = width === 32 ? -1 : (1 << width) - 1;
  let at = 0;
  let filled = 0;
  while (filled < count) {
    let head = 0;
    let shift = 0;
    let byte: number;
    do {
      if (at >= bytes.length || shift > 28) throw new Error("a page shorter than its values");
      byte = bytes[at++]!;
      head |= (byte & 127) << shift;
      shift += 7;
    } while (byte > 127);
    const run = head >>> 1;
    if (run === 0) throw new Error("an empty run");
    if ((head & 1) === 0) {
      let value = 0;
      for (let i = 0; i < width; i += 8) value |= bytes[at++]! << i;
      const end = Math.min(count, filled + run);
      found.fill(value, filled, end);
      filled = end;
    } else {
      const end = Math.min(count, filled + 8 * run);
      // The last run may be padded beyond the page.
      if (at + Math.ceil(((end - filled) * width) / 8) > bytes.length)
        throw new Error("a page shorter than its values");
      unpack(bytes, at, { found, filled, end, width, mask });
      at += run * width;
      filled = end;
    }
  }
  return found;
}

/** Numbers of `width` bits, the lowest first, from a byte on. */
function unpack(
  bytes: Uint8Array,
  start: number,
  run: { found: Int32Array; filled: number; end: number; width: number; mask: number },
): void {
  const { found, end, width, mask } = run;
  if (width > 24) {
    // No page has so many different numbers but by damage or for the asking: bit by bit.
    for (let i = run.filled, bit = start * 8; i < end; i += 1) {
      let value = 0;
      for (let k = 0; k < width; k += 1, bit += 1) value |= ((bytes[bit >> 3]! >> (bit & 7)) & 1) << k;
      found[i] = value;
    }
    return;
  }
  let at = start;
  let held = 0;
  let bits = 0;
  for (let i = run.filled; i < end; i += 1) {
    while (bits < width) {
      held |= bytes[at++]! << bits;
      bits += 8;
    }
    found[i] = held & mask;
    held >>>= width;
    bits -= width;
  }
}
