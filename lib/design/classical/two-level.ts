import { requireCount } from "../../errors/index.js";

/**
 * All 2^k corners in standard order: the first factor changes fastest.
 *
 * @param factors - k, 1 to 12
 * @returns 2^k rows of -1 and +1
 * @throws {BeadbenchError} `bad-argument` for k outside 1 to 12
 * @source Box, Hunter and Hunter, Statistics for Experimenters (1978), chapter 10
 * @example twoLevelFactorial(2) // => [[-1, -1], [1, -1], [-1, 1], [1, 1]]
 */
export function twoLevelFactorial(factors: number): readonly (readonly number[])[] {
  requireCount("number of factors", factors, { min: 1, max: 12 });
  return Array.from({ length: 2 ** factors }, (_, run) =>
    Array.from({ length: factors }, (_, j) => ((run >> j) & 1 ? 1 : -1)),
  );
}

/** Every combination of the given levels, the first list changing fastest. */
export function crossLevels(levels: readonly (readonly number[])[]): readonly (readonly number[])[] {
  return levels.reduce<readonly (readonly number[])[]>(
    (rows, list) => list.flatMap((level) => rows.map((row) => [...row, level])),
    [[]],
  );
}
