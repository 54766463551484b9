import { requireThat } from "../../errors/index.js";

/** Run counts on offer; 8 and 16 are two-level fractions and come from there. */
export type PlackettBurmanRuns = 12 | 20 | 24;

const generatingRows: Readonly<Record<PlackettBurmanRuns, string>> = {
  12: "++-+++---+-",
  20: "++--++++-+-+----++-",
  24: "+++++-+-++--++--+-+----",
};

/**
 * Plackett-Burman screening matrix: the generating row shifted one place at a time, then a row of minus
 * signs. Main effects are orthogonal; each two-factor effect leaks a part into many of them.
 *
 * @returns `runs` rows of `runs - 1` columns of -1 and +1; use as many columns as there are factors
 * @throws {BeadbenchError} `bad-argument` for another count
 * @source Plackett and Burman, Biometrika 33 (1946) 305-325; NIST/SEMATECH e-Handbook 5.3.3.5
 */
export function plackettBurman(runs: PlackettBurmanRuns): readonly (readonly number[])[] {
  const generator = generatingRows[runs];
  requireThat(generator !== undefined, `Plackett-Burman runs must be 12, 20 or 24, got ${runs}`);
  const signs = [...generator].map((sign) => (sign === "+" ? 1 : -1));
  const last = signs.length;
  const shifted = signs.map((_, shift) => signs.map((__, j) => signs[(j - shift + last) % last]!));
  return [...shifted, signs.map(() => -1)];
}
