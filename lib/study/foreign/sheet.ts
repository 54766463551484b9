/** One cell of a foreign table. */
export interface Cell {
  /**
   * `unsaved`: a formula whose value the file does not hold; `no-date`: a number shown as a date that no calendar has. Dates come as
   * ISO 8601.
   */
  readonly kind: "number" | "text" | "truth" | "date" | "error" | "unsaved" | "no-date";
  readonly text: string;
}

/** A foreign table as cells, of a workbook's sheet or a CSV file. */
export interface Sheet {
  /** File and sheet, for messages. */
  readonly place: string;
  /** By row number from 1, cells by column from 0; what is empty is left out. */
  readonly rows: ReadonlyMap<number, ReadonlyMap<number, Cell>>;
  /** Ranges of merged cells, rows from 1 and columns from 0, both ends in. */
  readonly merged: readonly Range[];
  /** Whether cells are named A1, as in a workbook; rows of a CSV file are lines. */
  readonly lettered: boolean;
}

export interface Range {
  readonly top: number;
  readonly left: number;
  readonly bottom: number;
  readonly right: number;
}

/** A column's letters: 0 is A, 26 is AA. */
export function columnLetters(index: number): string {
  const rest = Math.floor(index / 26);
  return (rest > 0 ? columnLetters(rest - 1) : "") + String.fromCharCode(65 + (index % 26));
}

/** A column's place by its letters, from 0. */
export const columnIndex = (letters: string): number =>
  [...letters].reduce((sum, letter) => 26 * sum + letter.charCodeAt(0) - 64, 0) - 1;

/** Row and column of a reference such as B12; undefined for what is none. */
export function cellAt(reference: string): { readonly row: number; readonly column: number } | undefined {
  const found = /^\$?([A-Z]{1,3})\$?(\d{1,7})$/.exec(reference);
  return found === null ? undefined : { row: Number(found[2]), column: columnIndex(found[1]!) };
}
