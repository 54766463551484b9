import type { Finding } from "../../errors/index.js";
import { counted, significant } from "../../numeric/index.js";

/** Rows at the extreme, from which on they are told. */
const LEAST = 20;
/** Share of rows at the extreme that repeat the one before. */
const PILED = 0.4;

/**
 * Tells a signal that ran out of its range: it stands still at its very largest value, row after row, while it moves
 * elsewhere. A signal that stands still everywhere (drawn by hand, or slower than the logger) is not taken for one.
 */
export class Clipping {
  #extreme = 0;
  #row = 0;
  #atExtreme = 0;
  #repeatedThere = 0;
  #elsewhere = 0;
  #repeatedElsewhere = 0;
  #last = Number.NaN;

  /** Looks at rows, of which the first has this number. */
  look(values: Float64Array, length: number, first: number): void {
    let last = this.#last;
    for (let k = 0; k < length; k += 1) {
      const value = Math.abs(values[k]!);
      const repeated = value === last ? 1 : 0;
      if (value > this.#extreme) {
        this.#elsewhere += this.#atExtreme;
        this.#repeatedElsewhere += this.#repeatedThere;
        this.#extreme = value;
        this.#row = first + k;
        this.#atExtreme = 1;
        this.#repeatedThere = 0;
      } else if (value === this.#extreme) {
        this.#atExtreme += 1;
        this.#repeatedThere += repeated;
      } else if (value > 0) {
        this.#elsewhere += 1;
        this.#repeatedElsewhere += repeated;
      }
      last = value;
    }
    this.#last = last;
  }

  /** What it looks like, if anything. */
  finding(file: string, name: string, unit: string): readonly Finding[] {
    const there = this.#repeatedThere / this.#atExtreme;
    const elsewhere = this.#elsewhere === 0 ? 1 : this.#repeatedElsewhere / this.#elsewhere;
    if (this.#atExtreme < LEAST || there < PILED || there < 2 * elsewhere) return [];
    return [
      {
        code: "trace-clipped",
        severity: "warning",
        message: `${file} (row ${this.#row}): ${name} stands at its largest value, ${significant(this.#extreme, 4)} ${unit}, in ${counted(this.#atExtreme, "row")}: it looks cut off at the end of the logger's range`,
        advice: "take a larger range and run the coupon again: mean, power and energy come out too low",
      },
    ];
  }
}
