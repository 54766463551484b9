import { requireThat } from "../../errors/index.js";
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

/** Letters in a word. */
function bits(mask: number): number {
  let count = 0;
  for (let rest = mask; rest !== 0; rest &= rest - 1) count++;
  return count;
}

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

/** All products of the generating words. */
function groupOf(words: readonly number[]): readonly number[] {
  let group = [0];
  for (const word of words) group = [...group, ...group.map((mask) => mask ^ word)];
  return group.slice(1);
}

/** Shortest first, then by letters. */
function definingMasks(words: readonly number[]): readonly number[] {
  return [...groupOf(words)].sort((a, b) => bits(a) - bits(b) || wordOf(a).localeCompare(wordOf(b)));
}

/**
 * The fraction of 2^(factors - removed) runs with minimum aberration: among all choices of generators the
 * one with fewest words of three letters, then of four, and so on. Found by trying them all.
 *
 * @param factors - 3 to 8
 * @param removed - p, how many times the full factorial is halved, with at least resolution III left
 * @throws {BeadbenchError} `bad-argument` when no such fraction exists
 * @source Fries and Hunter, Technometrics 22 (1980) 601-608
 */
export function minimumAberration(factors: number, removed: number): FractionalFactorial {
  requireThat(
    factors >= 3 && factors <= 8 && removed >= 1 && 2 ** (factors - removed) > factors,
    `a fraction of at least resolution III needs 3 to 8 factors and more runs than factors, got ${factors} factors in ${2 ** (factors - removed)} runs`,
  );
  const basic = factors - removed;
  const words = Array.from({ length: 1 << basic }, (_, mask) => mask)
    .filter((mask) => bits(mask) >= 2)
    .sort((a, b) => bits(b) - bits(a) || wordOf(a).localeCompare(wordOf(b)));
  let best: readonly number[] = [];
  let bestLengths: readonly number[] = [];
  const choose = (chosen: readonly number[], from: number): void => {
    if (chosen.length === removed) {
      const lengths = Array.from({ length: factors + 1 }, () => 0);
      for (const mask of groupOf(chosen.map((word, i) => word | (1 << (basic + i))))) lengths[bits(mask)]!++;
      if (bestLengths.length === 0 || precedes(lengths, bestLengths)) [best, bestLengths] = [chosen, lengths];
      return;
    }
    for (let i = from; i < words.length; i++) choose([...chosen, words[i]!], i + 1);
  };
  choose([], 0);
  return fractionalFactorial(
    factors,
    best.map((word, i) => `${letters[basic + i]}=${wordOf(word)}`),
  );
}

/** Whether a word-length pattern has less aberration than another. */
function precedes(one: readonly number[], two: readonly number[]): boolean {
  const first = one.findIndex((count, length) => count !== two[length]);
  return first >= 0 && one[first]! < two[first]!;
}

/**
 * Which effects of one or two factors cannot be told apart, one sentence per group.
 *
 * @param names - factor names in the order of the letters
 * @returns sentences; none when all such effects are clear of each other (resolution V and above)
 * @example describeAliases(["a", "b", "c"], ["ABC"]) // => ["a cannot be told apart from b x c", "b cannot be told apart from a x c", "c cannot be told apart from a x b"]
 */
export function describeAliases(
  names: readonly string[],
  definingRelation: readonly string[],
): readonly string[] {
  const relation = definingRelation.map(maskOf);
  const say = (mask: number): string => names.filter((_, bit) => (mask >> bit) & 1).join(" x ");
  const effects = Array.from({ length: 1 << names.length }, (_, mask) => mask)
    .filter((mask) => bits(mask) === 1 || bits(mask) === 2)
    .sort((a, b) => bits(a) - bits(b) || wordOf(a).localeCompare(wordOf(b)));
  const told = new Set<number>();
  return effects.flatMap((effect) => {
    if (told.has(effect)) return [];
    const aliases = relation.map((word) => word ^ effect).filter((mask) => effects.includes(mask));
    for (const mask of aliases) told.add(mask);
    return aliases.length === 0
      ? []
      : [`${say(effect)} cannot be told apart from ${aliases.map(say).join(", ")}`];
  });
}
