import { readSync } from "node:fs";
import { parquetHeader, readPage } from "hyparquet/src/column.js";
import { convert } from "hyparquet/src/convert.js";
import { decompressPage } from "hyparquet/src/datapage.js";
import type { ColumnDecoder, DecodedArray, PageHeader } from "hyparquet/src/types.js";
import { plainNumbers, runsOf } from "./parquet-values.js";

/** Where the pages of a column lie, one stretch per row group. */
export interface ColumnStretch {
  readonly start: number;
  readonly length: number;
  readonly rows: number;
  readonly decoder: ColumnDecoder;
}

/** Bytes asked for a page's header; statistics of long texts make it longer, which is tried with the second. */
const HEADER_BYTES = [512, 1 << 20] as const;
/** A page claims no more than this; writers keep to a megabyte. */
const LARGEST_PAGE = 1 << 28;

/**
 * The pages of one column, one after the other, so that no row group need fit into memory.
 *
 * The library (hyparquet) reads headers, compression and rarer encodings. Plain and dictionary pages of numbers, which
 * are nearly all that writers make, are turned into numbers here: its own way makes lists of values of every page and
 * takes eight times as long (1.4 million rows of three columns a second against 11 for the pages alone).
 */
export class ParquetPages {
  readonly #handle: number;
  readonly #stretches: readonly ColumnStretch[];
  #stretch = 0;
  #at = 0;
  #left = 0;
  #dictionary: Float64Array | undefined;
  #listed: DecodedArray | undefined;

  constructor(handle: number, stretches: readonly ColumnStretch[]) {
    this.#handle = handle;
    this.#stretches = stretches;
    this.#begin();
  }

  /**
   * The numbers of the next page, NaN where none was written; undefined after the last.
   *
   * @throws {Error} for a page that is damaged
   */
  next(): Float64Array | undefined {
    for (;;) {
      const stretch = this.#stretches[this.#stretch];
      if (stretch === undefined) return undefined;
      if (this.#left === 0) {
        this.#stretch += 1;
        this.#begin();
        continue;
      }
      const { header, body } = this.#page(stretch);
      if (header.type === "DICTIONARY_PAGE") this.#readDictionary(stretch, header, body);
      else if (header.type === "DATA_PAGE" || header.type === "DATA_PAGE_V2") {
        const numbers = this.#numbers(stretch, header, body);
        if (numbers.length === 0 || numbers.length > this.#left)
          throw new Error("a page of the wrong length");
        this.#left -= numbers.length;
        return numbers;
      }
    }
  }

  #begin(): void {
    const stretch = this.#stretches[this.#stretch];
    this.#at = stretch?.start ?? 0;
    this.#left = stretch?.rows ?? 0;
    this.#dictionary = undefined;
    this.#listed = undefined;
  }

  #page({ start, length }: ColumnStretch): {
    readonly header: PageHeader;
    readonly body: Uint8Array<ArrayBuffer>;
  } {
    const end = start + length;
    let failure: unknown;
    for (const most of HEADER_BYTES) {
      const bytes = this.#bytes(Math.min(most, end - this.#at));
      const reader = { view: new DataView(bytes.buffer), offset: 0 };
      try {
        const header = parquetHeader(reader);
        const size = header.compressed_page_size;
        if (
          !(
            size >= 0 &&
            header.uncompressed_page_size <= LARGEST_PAGE &&
            this.#at + reader.offset + size <= end
          )
        )
          throw new Error("a page longer than its column");
        this.#at += reader.offset;
        const body =
          reader.offset + size <= bytes.length
            ? bytes.slice(reader.offset, reader.offset + size)
            : this.#bytes(size);
        this.#at += size;
        return { header, body };
      } catch (error) {
        failure = error;
      }
    }
    throw failure;
  }

  #bytes(length: number): Uint8Array<ArrayBuffer> {
    const bytes = new Uint8Array(length);
    if (length === 0 || readSync(this.#handle, bytes, 0, length, this.#at) < length)
      throw new Error("the file ends within a page");
    return bytes;
  }

  #readDictionary({ decoder }: ColumnStretch, header: PageHeader, body: Uint8Array<ArrayBuffer>): void {
    const page = decompressPage(body, header.uncompressed_page_size, decoder.codec, decoder.compressors);
    const count = header.dictionary_page_header?.num_values ?? 0;
    this.#dictionary = plainNumbers(decoder, page, count);
    if (this.#dictionary === undefined) {
      const reader = { view: new DataView(body.buffer, body.byteOffset, body.byteLength), offset: 0 };
      const { data } = readPage(reader, header, decoder, undefined, undefined, 0);
      if (data !== undefined) this.#listed = convert(data, decoder);
    }
  }

  #numbers(stretch: ColumnStretch, header: PageHeader, body: Uint8Array<ArrayBuffer>): Float64Array {
    const { decoder } = stretch;
    const quick = header.data_page_header;
    if (quick !== undefined && this.#listed === undefined) {
      const page = decompressPage(body, header.uncompressed_page_size, decoder.codec, decoder.compressors);
      const found = this.#quickly(decoder, page, { count: quick.num_values, encoding: quick.encoding });
      if (found !== undefined) return found;
    }
    const reader = { view: new DataView(body.buffer, body.byteOffset, body.byteLength), offset: 0 };
    const { data } = readPage(reader, header, decoder, this.#listed ?? this.#dictionary, undefined, 0);
    return Float64Array.from(data ?? [], (value) =>
      value === null || value === undefined ? Number.NaN : Number(value),
    );
  }

  /** A plain or dictionary page of a column without nesting. */
  #quickly(
    decoder: ColumnDecoder,
    page: Uint8Array,
    { count, encoding }: { readonly count: number; readonly encoding: string },
  ): Float64Array | undefined {
    let at = 0;
    let present = count;
    let levels: Int32Array | undefined;
    if (decoder.element.repetition_type !== "REQUIRED") {
      const view = new DataView(page.buffer, page.byteOffset, page.byteLength);
      const length = view.getUint32(0, true);
      levels = runsOf(page.subarray(4, 4 + length), { width: 1, count });
      at = 4 + length;
      present = 0;
      for (const level of levels) present += level;
    }
    const body = page.subarray(at);
    const values =
      encoding === "PLAIN"
        ? plainNumbers(decoder, body, present)
        : encoding.endsWith("_DICTIONARY")
          ? this.#looked(body, present)
          : undefined;
    if (values === undefined || levels === undefined || present === count) return values;
    let next = 0;
    return Float64Array.from(levels, (level) => (level === 0 ? Number.NaN : values[next++]!));
  }

  #looked(body: Uint8Array, count: number): Float64Array | undefined {
    const dictionary = this.#dictionary;
    if (dictionary === undefined) return undefined;
    const values = new Float64Array(count);
    if (count === 0) return values;
    const places = runsOf(body.subarray(1), { width: body[0]!, count });
    for (let i = 0; i < count; i += 1) values[i] = dictionary[places[i]!]!;
    return values;
  }
}
