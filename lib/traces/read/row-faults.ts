import type { Finding } from "../../errors/index.js";
import { counted } from "../../numeric/index.js";

/** Where a fault was met, and how often since. */
interface Met {
  readonly line: number;
  readonly row: number;
  readonly text: string;
  count: number;
}

/** Rows and cells that could not be read: the first of each kind in full, of the others how many. */
export class RowFaults {
  readonly #file: string;
  readonly #cells = new Map<number, Met>();
  readonly #empty = new Map<number, Met>();
  #rows: (Met & { readonly cells: number; readonly wanted: number }) | undefined;

  constructor(file: string) {
    this.#file = file;
  }

  /** A cell that holds no number. */
  cell({ cell, ...place }: { line: number; row: number; cell: number; text: string }): void {
    const kind = place.text === "" || /^(?:nan|null|-+)$/i.test(place.text) ? this.#empty : this.#cells;
    const met = kind.get(cell);
    if (met === undefined) kind.set(cell, { ...place, count: 1 });
    else met.count += 1;
  }

  /** A row with more or fewer cells than the others. */
  row(place: { line: number; row: number; cells: number; wanted: number; text: string }): void {
    if (this.#rows === undefined) this.#rows = { ...place, count: 1 };
    else this.#rows.count += 1;
  }

  /** Rows set aside so far. */
  get setAside(): number {
    return this.#rows?.count ?? 0;
  }

  /** Everything met, said once. */
  findings(headings: readonly string[]): readonly Finding[] {
    const column = (cell: number): string => headings[cell] || `column ${cell + 1}`;
    const words = [...this.#cells].map(
      ([cell, met]): Finding => ({
        code: "trace-cell-unread",
        severity: "warning",
        message: `${this.#place(met)}, "${column(cell)}": ${JSON.stringify(met.text)} is no number; ${counted(met.count, "cell")} of this column taken as not measured`,
        advice: /^[\d-]*[T ]?\d{1,2}:\d\d/.test(met.text)
          ? "dates and times of day are not read: have the logger write seconds, or give --rate where rows come evenly"
          : "an overload or a lost sensor says so in words; look what the logger means by it",
      }),
    );
    const empty = [...this.#empty].map(
      ([cell, met]): Finding => ({
        code: "trace-cell-empty",
        severity: "info",
        message: `${this.#place(met)}, "${column(cell)}": not measured here and in ${counted(met.count, "cell")} in all`,
      }),
    );
    if (this.#rows === undefined) return [...words, ...empty];
    const { cells, wanted, count, text } = this.#rows;
    const row: Finding = {
      code: "trace-row-set-aside",
      severity: "warning",
      message: `${this.#place(this.#rows)}: ${counted(cells, "cell")} where rows have ${wanted}, got ${JSON.stringify(shown(text))}; ${counted(count, "row")} of that kind set aside`,
      advice: "a torn or doubled line; where there are many, the file was damaged or is of two loggers",
    };
    return [row, ...words, ...empty];
  }

  #place({ line, row }: Met): string {
    return `${this.#file}:${line} (row ${row})`;
  }
}

/** Text of a file as it may be shown: no control characters, not too long. */
const shown = (text: string): string => {
  const plain = text.replace(/[^\x20-\x7e]/g, "?").trim();
  return plain.length > 60 ? `${plain.slice(0, 60)}...` : plain;
};
