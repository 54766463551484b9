import { choleskyInverse, mean, tCdf } from "../../numeric/index.js";
import type { BlendedRows } from "./blended-data.js";
import { BlendedLikelihood } from "./blended-likelihood.js";

/** A row that all others disagree with. */
export interface Slip {
  readonly row: number;
  /** How far it lies from what the others foresee, in standard deviations of that. */
  readonly deviation: number;
  /** Chance of one so far off among all rows, were all scatter normal. */
  readonly chance: number;
  /** What is left of its weight. */
  readonly weight: number;
}

/** Below this chance among all rows a row counts as a slip. Common practice, no source. */
const UNLIKELY = 0.01;
/** Degrees of freedom of the t distribution whose weights slips are left with. */
const TAIL = 3;

/**
 * Rows off by more than scatter explains, one after the other: each is held against the others with the weight of those
 * found before reduced, so that one slip does not hide the next.
 *
 *     w = (v + 1) / (v + t^2),   t the deleted residual, v = 3
 *
 * @param draws - of the variances; their middle is used
 * @source weights of t errors: K. L. Lange, R. J. A. Little and J. M. G. Taylor, J. Am. Statist. Assoc. 84 (1989) 881-896
 */
export function findRowSlips(data: BlendedRows, draws: readonly (readonly number[])[]): readonly Slip[] {
  const z = draws[0]!.map((_, j) => mean(draws.map((draw) => draw[j]!)));
  const n = data.y.length;
  const slips: Slip[] = [];
  // A tenth of the rows at most: with more, it is the model that is off.
  while (slips.length < Math.max(1, n / 10)) {
    const state = new BlendedLikelihood(withSlips(data, slips), true).evaluate(z);
    if (state === undefined || state.df < 3) return slips;
    const { alpha, ones, precision, factor, rss, df } = state;
    const inverse = new Float64Array(n * n);
    choleskyInverse(factor, n, inverse);
    const rows = data.y.map((_, row) => {
      const own = inverse[row * n + row]! - ones[row]! ** 2 / precision;
      const without = (rss - alpha[row]! ** 2 / own) / (df - 1);
      const deviation = alpha[row]! / Math.sqrt(own * Math.max(without, rss * Number.EPSILON));
      const chance = Math.min(1, 2 * n * (1 - tCdf(Math.abs(deviation), df - 1)));
      return { row, deviation, chance, weight: (TAIL + 1) / (TAIL + deviation ** 2) };
    });
    const known = new Set(slips.map(({ row }) => row));
    const [worst] = rows.filter(({ row }) => !known.has(row)).sort((a, b) => a.chance - b.chance);
    if (worst === undefined || worst.chance >= UNLIKELY) return slips;
    slips.push(worst);
  }
  return slips;
}

/** The rows with the weights that slips are left with. */
export function withSlips(data: BlendedRows, slips: readonly Slip[]): BlendedRows {
  return { ...data, weights: data.y.map((_, i) => slips.find(({ row }) => row === i)?.weight ?? 1) };
}
