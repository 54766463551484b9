import type { CsvLayout } from "./csv-layout.js";
import { RowFaults } from "./row-faults.js";

const LINE_FEED = 10;
const RETURN = 13;
const SPACE = 32;
const QUOTE = 34;
const HASH = 35;
const PLUS = 43;
const MINUS = 45;
/** Digits that are exact as a whole number in a double. */
const EXACT_DIGITS = 15;
/** Powers of ten that are exact in a double: a whole number divided by one is rounded once, as `Number` would. */
const POWERS = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));
/** Rows in a row that cannot be read, after which the rest of the file is taken for damaged. */
const LOST_ROWS = 1000;

/** Where the numbers of a row go: an array for a cell that is read, undefined for one that is not. */
export type CellTargets = readonly (Float64Array | undefined)[];

/**
 * Reads lines of numbers out of bytes into columns. Written by hand: on 20 million rows the columnar engine's own
 * reader keeps half a gigabyte resident, guesses types from a sample, and drops or refuses a bad row without keeping
 * what its neighbours say; a general CSV reader makes a text of every cell and is ten times slower.
 */
export class CsvRows {
  /** Rows in the columns now. */
  length = 0;
  /** Lines of the file gone by, with those of the head, and rows among them, with those set aside. */
  line: number;
  row = 0;
  /** Whether so many rows failed in a row that nothing more is believed. */
  lost = false;
  readonly faults: RowFaults;
  readonly #separator: number;
  #mark: number;
  readonly #cells: number;
  #failed = 0;
  /** Cells of the row at hand that hold no number: told if the row is one. */
  readonly #odd: { line: number; row: number; cell: number; text: string }[] = [];

  constructor(file: string, layout: CsvLayout) {
    this.#separator = layout.separator;
    this.#mark = layout.mark ?? 0;
    this.#cells = layout.headings.length;
    this.line = layout.dataLine - 1;
    this.faults = new RowFaults(file);
  }

  /**
   * Reads whole lines, up to a full set of columns or to a row that is set aside.
   *
   * @param bytes - of which `end` ends a line
   * @param span - first byte, and the one after the last line feed
   * @returns the first byte not read
   */
  read(bytes: Uint8Array, { at, end }: { at: number; end: number }, targets: CellTargets): number {
    const size = targets.find((target) => target !== undefined)?.length ?? 0;
    const last = targets.length;
    const separator = this.#separator;
    let place = at;
    while (place < end && this.length < size && !this.lost) {
      const start = place;
      this.line += 1;
      let byte = bytes[place]!;
      if (byte === LINE_FEED || byte === HASH || (byte === RETURN && bytes[place + 1] === LINE_FEED)) {
        place = bytes.indexOf(LINE_FEED, place) + 1;
        continue;
      }
      this.row += 1;
      let cell = 0;
      for (;;) {
        const target = cell < last ? targets[cell] : undefined;
        if (target === undefined) {
          while (byte !== separator && byte !== LINE_FEED) byte = bytes[++place]!;
        } else {
          const first = place;
          while (byte === SPACE || byte === QUOTE) byte = bytes[++place]!;
          const negative = byte === MINUS;
          if (negative || byte === PLUS) byte = bytes[++place]!;
          let whole = 0;
          let digits = place;
          let decimals = 0;
          while (byte >= 48 && byte <= 57) {
            whole = whole * 10 + byte - 48;
            byte = bytes[++place]!;
          }
          digits = place - digits;
          if (byte === this.#mark || (this.#mark === 0 && this.#isMark(byte))) {
            byte = bytes[++place]!;
            const point = place;
            while (byte >= 48 && byte <= 57) {
              whole = whole * 10 + byte - 48;
              byte = bytes[++place]!;
            }
            decimals = place - point;
            digits += decimals;
          }
          while (byte === SPACE || byte === QUOTE || byte === RETURN) byte = bytes[++place]!;
          if ((byte === separator || byte === LINE_FEED) && digits > 0 && digits <= EXACT_DIGITS) {
            const value = whole / POWERS[decimals]!;
            target[this.length] = negative ? -value : value;
          } else {
            while (byte !== separator && byte !== LINE_FEED) byte = bytes[++place]!;
            target[this.length] = this.#slowly(bytes, { at: first, end: place }, cell);
          }
        }
        cell += 1;
        if (byte === LINE_FEED) break;
        byte = bytes[++place]!;
      }
      place += 1;
      if (!this.#endRow(cell, bytes, { at: start, end: place - 1 })) break;
    }
    return place;
  }

  /** The first decimal mark of the file settles which it is: a comma where commas do not part cells. */
  #isMark(byte: number): boolean {
    const isOne = byte === 46 || (byte === 44 && this.#separator !== 44);
    if (isOne) this.#mark = byte;
    return isOne;
  }

  /** Exponents and long numbers, by the language's own reader; empty cells and words are not measured. */
  #slowly(bytes: Uint8Array, span: { at: number; end: number }, cell: number): number {
    const text = latin(bytes, span).replaceAll('"', "").trim();
    const plain = this.#mark === 44 ? text.replace(",", ".") : text;
    const isNumber =
      /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i.test(plain) && !(this.#mark === 44 && text.includes("."));
    if (isNumber) return Number(plain);
    this.#odd.push({ line: this.line, row: this.row, cell, text });
    return Number.NaN;
  }

  /** Whether the row is one. */
  #endRow(cells: number, bytes: Uint8Array, span: { at: number; end: number }): boolean {
    if (cells === this.#cells) {
      for (const cell of this.#odd) this.faults.cell(cell);
      this.#odd.length = 0;
      this.length += 1;
      this.#failed = 0;
      return true;
    }
    this.#odd.length = 0;
    this.#failed += 1;
    this.lost = this.#failed >= LOST_ROWS;
    this.faults.row({ line: this.line, row: this.row, cells, wanted: this.#cells, text: latin(bytes, span) });
    return false;
  }
}

const latin = (bytes: Uint8Array, { at, end }: { at: number; end: number }): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + at, Math.min(end - at, 200)).toString("latin1");
