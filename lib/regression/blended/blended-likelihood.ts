import { choleskyInPlace, choleskyLogDeterminant, choleskySolve } from "../../numeric/index.js";
import { type BlendedColumns, type BlendedRows, type Cells, gatherCells } from "./blended-data.js";

/** What is believed of a positive number before the rows: the logarithm is normal. */
interface Belief {
  readonly median: number;
  readonly logSd: number;
}

/**
 * Weak beliefs. Variances are in units of the scatter of a single row, lengths in coded units (a range is 2 long): the
 * straight law mostly moves y by far more than scatter does, squares and products by about half of it, the departure about
 * as much, each within a factor of 50 either way. Lengths reach far enough for a column to drop out of the departure.
 */
const BELIEFS = {
  length: { median: 2, logSd: 1.5 },
  departure: { median: 1, logSd: 2 },
  setting: { median: 0.3, logSd: 1.5 },
  straight: { median: 30, logSd: 2 },
  bent: { median: 0.3, logSd: 2 },
  block: { median: 0.3, logSd: 1.5 },
} as const satisfies Readonly<Record<string, Belief>>;

/** Variances in units of the scatter of a single row. */
export interface Shares {
  readonly lengths: readonly number[];
  readonly departure: number;
  readonly straight: number;
  readonly bent: number;
  readonly block: number;
  /** Part of the scatter that repeats of a setting have in common. */
  readonly common: number;
}

/** A factored covariance with what is solved from it. */
export interface BlendedState {
  readonly shares: Shares;
  /** Which of the codings, and its columns of the cells. */
  readonly coding: number;
  readonly columns: BlendedColumns;
  /** Cholesky factor of the cells' covariance. */
  readonly factor: Float64Array;
  /** K^-1 1, and the precision 1' K^-1 1 of the constant. */
  readonly ones: Float64Array;
  readonly precision: number;
  readonly constant: number;
  /** K^-1 (y - constant). */
  readonly alpha: Float64Array;
  /** Weighted sum of squares with the scatter inside cells, and its degrees of freedom. */
  readonly rss: number;
  readonly df: number;
  readonly logLikelihood: number;
}

const SQRT5 = Math.sqrt(5);

/** Matern 5/2 correlation at a squared scaled distance. */
export function matern(square: number): number {
  const a = SQRT5 * Math.sqrt(square);
  return (1 + a + (a * a) / 3) * Math.exp(-a);
}

const inner = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, j) => sum + value * b[j]!, 0);

/** A coding's columns of the cells, with what pairs of cells make of them. */
interface Coding {
  readonly columns: BlendedColumns;
  readonly squares: readonly Float64Array[];
  readonly ofStraight: Float64Array;
  readonly ofBent: Float64Array;
}

/** The likelihood of the variances of a blended surface, constant and scatter integrated out. */
export class BlendedLikelihood {
  readonly cells: Cells;
  readonly size: number;
  /** One or two; of two, the sign of the last unknown tells which. */
  readonly codings: readonly Coding[];
  readonly #dimensions: number;
  readonly #beliefs: readonly Belief[];
  readonly #sameSetting: Uint8Array;
  readonly #sameBlock: Uint8Array;
  readonly #within: number;
  readonly #repeats: boolean;
  readonly #hasBent: boolean;
  readonly #hasBlocks: boolean;
  readonly #rounding: number;

  /** @param apart - keep each row a cell of its own */
  constructor(data: BlendedRows, apart = false) {
    this.cells = gatherCells(data, apart);
    const { count, first, setting, block } = this.cells;
    this.#dimensions = data.straight[0]!.length;
    this.#hasBent = data.bent[0]!.length > 0;
    this.#hasBlocks = block !== undefined && new Set(block).size > 1;
    this.#repeats = new Set(data.setting).size < data.y.length;
    const pairs = (value: (i: number, k: number) => number): Float64Array => {
      const all = new Float64Array(count * count);
      for (let i = 0; i < count; i++) for (let k = 0; k <= i; k++) all[i * count + k] = value(i, k);
      return all;
    };
    this.codings = (data.otherwise === undefined ? [data] : [data, data.otherwise]).map((all) => {
      const straight = first.map((i) => all.straight[i]!);
      const bent = first.map((i) => all.bent[i]!);
      return {
        columns: { straight, bent },
        squares: Array.from({ length: this.#dimensions }, (_, j) =>
          pairs((i, k) => (straight[i]![j]! - straight[k]![j]!) ** 2),
        ),
        ofStraight: pairs((i, k) => inner(straight[i]!, straight[k]!)),
        ofBent: pairs((i, k) => inner(bent[i]!, bent[k]!)),
      };
    });
    this.#sameSetting = Uint8Array.from(pairs((i, k) => Number(setting[i] === setting[k])));
    this.#sameBlock = Uint8Array.from(pairs((i, k) => Number(this.#hasBlocks && block![i] === block![k])));
    this.#within = this.cells.within.reduce((sum, value) => sum + value, 0);
    const {
      length,
      departure,
      setting: ofSetting,
      straight: ofStraight,
      bent: ofBent,
      block: ofBlock,
    } = BELIEFS;
    this.#beliefs = [
      ...Array.from({ length: this.#dimensions }, () => length),
      departure,
      ofStraight,
      ...(this.#repeats ? [ofSetting] : []),
      ...(this.#hasBent ? [ofBent] : []),
      ...(this.#hasBlocks ? [ofBlock] : []),
    ];
    this.size = this.#beliefs.length + this.codings.length - 1;
    const largest = data.y.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    this.#rounding = data.y.length * ((largest === 0 ? 1 : largest) * Number.EPSILON) ** 2;
  }

  /** @param z - standard normal before the rows */
  sharesOf(z: ArrayLike<number>): Shares {
    const value = this.#beliefs.map(({ median, logSd }, j) => median * Math.exp(logSd * z[j]!));
    const d = this.#dimensions;
    let next = d + 2;
    const ofSetting = this.#repeats ? value[next++]! : 0;
    const bent = this.#hasBent ? value[next++]! : 0;
    const block = this.#hasBlocks ? value[next]! : 0;
    return {
      lengths: value.slice(0, d),
      departure: value[d]!,
      straight: value[d + 1]!,
      bent,
      block,
      common: ofSetting / (1 + ofSetting),
    };
  }

  /** Undefined where the covariance cannot be factored. */
  evaluate(z: ArrayLike<number>): BlendedState | undefined {
    const shares = this.sharesOf(z);
    const { count, weight, y, rows } = this.cells;
    const coding = this.codings.length > 1 && z[this.size - 1]! > 0 ? 1 : 0;
    const { columns, squares, ofStraight, ofBent } = this.codings[coding]!;
    const factor = new Float64Array(count * count);
    const perLength = shares.lengths.map((length) => 1 / length ** 2);
    const { departure, straight, bent, block, common } = shares;
    for (let i = 0; i < count; i++) {
      for (let k = 0; k <= i; k++) {
        const at = i * count + k;
        let square = 0;
        for (let j = 0; j < perLength.length; j++) square += squares[j]![at]! * perLength[j]!;
        factor[at] =
          departure * matern(square) +
          straight * ofStraight[at]! +
          bent * ofBent[at]! +
          common * this.#sameSetting[at]! +
          block * this.#sameBlock[at]!;
      }
      factor[i * count + i]! += (1 - common) / weight[i]!;
    }
    if (!choleskyInPlace(factor, count)) return undefined;
    const ones = new Float64Array(count).fill(1);
    choleskySolve(factor, count, ones);
    const precision = ones.reduce((sum, value) => sum + value, 0);
    const constant = ones.reduce((sum, value, i) => sum + value * y[i]!, 0) / precision;
    const alpha = y.map((value) => value - constant);
    const centred = alpha.slice();
    choleskySolve(factor, count, alpha);
    const all = rows.reduce((sum, value) => sum + value, 0);
    const own = alpha.reduce((sum, value, i) => sum + value * centred[i]!, 0);
    const rss = own + this.#within / (1 - common) + this.#rounding;
    const df = all - 1;
    const logLikelihood =
      -0.5 *
      (choleskyLogDeterminant(factor, count) +
        Math.log(precision) +
        (all - count) * Math.log(1 - common) +
        df * Math.log(rss));
    return { shares, coding, columns, factor, ones, precision, constant, alpha, rss, df, logLikelihood };
  }
}
