import { requireThat } from "../errors/index.js";
import { twoLevelFactorial } from "./two-level.js";

/** Factor letters by custom; I is left out, since it stands for the identity. */
const letters = "ABCDEFGHJKLMNOPQ";

/** A two-level fraction and what it confounds. Words are sorted letters. */
export interface FractionalFactorial {
  readonly generators: readonly string[];
  /** Length of the shortest word; effects of order m are clear of those below order resolution - m. */
  readonly resolution: number;
  /** Words equal to the identity, shortest first. */
  readonly definingRelation: readonly string[];
  /** wordLengths[i]: number of words with i letters. */
  readonly wordLengths: readonly number[];
  /** Rows of -1 and +1, the first basic factor changing fastest. */
  readonly rows: readonly (readonly number[])[];
}

/** A word as a bit mask over the letters. */
function maskOf(word: string): number {
  return [...word].reduce((mask, letter) => {
    const bit = letters.indexOf(letter);
    requireThat(
      bit >= 0,
      `generator word "${word}": letters A to ${letters.at(-1)} without I, got "${letter}"`,
    );
    return mask ^ (1 << bit);
  }, 0);
}

function wordOf(mask: number): string {
  return [...letters].filter((_, bit) => (mask >> bit) & 1).join("");
}

const bits = (mask: number): number => wordOf(mask).length;

/**
 * Builds the fraction that generators such as "E=ABCD" define, with its defining relation.
 *
 * @param factors - k, 3 to 16; each generator adds one factor beyond the basic ones
 * @throws {BeadbenchError} `bad-argument` for a malformed generator
 * @source Box, Hunter and Hunter, Statistics for Experimenters (1978), chapter 12
 */
export function fractionalFactorial(factors: number, generators: readonly string[]): FractionalFactorial {
  const basic = factors - generators.length;
  requireThat(basic >= 1 && factors <= letters.length, `a fraction needs up to 16 factors, got ${factors}`);
  const words = generators.map((generator, i) => {
    const [left, right] = generator.split("=");
    requireThat(
      left === letters[basic + i] && right !== undefined && right !== "" && maskOf(right) < 1 << basic,
      `generator ${i + 1} must read ${letters[basic + i]}=<letters of the basic factors>, got "${generator}"`,
    );
    return maskOf(right);
  });
  const rows = twoLevelFactorial(basic).map((row) => [
    ...row,
    ...words.map((mask) => row.reduce((sign, x, bit) => ((mask >> bit) & 1 ? sign * x : sign), 1)),
  ]);
  const relation = definingMasks(words.map((mask, i) => mask | (1 << (basic + i))));
  const wordLengths = Array.from({ length: factors + 1 }, () => 0);
  for (const mask of relation) wordLengths[bits(mask)]!++;
  return {
    generators,
    resolution: relation.length === 0 ? factors + 1 : bits(relation[0]!),
    definingRelation: relation.map(wordOf),
    wordLengths,
    rows,
  };
}

/** All products of the generating words, shortest first, then by letters. */
function definingMasks(words: readonly number[]): readonly number[] {
  let group = [0];
  for (const word of words) group = [...group, ...group.map((mask) => mask ^ word)];
  return group.slice(1).sort((a, b) => bits(a) - bits(b) || wordOf(a).localeCompare(wordOf(b)));
}
