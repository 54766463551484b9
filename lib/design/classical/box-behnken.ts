import { requireThat } from "../../errors/index.js";
import type { CodedRun } from "../runs/index.js";
import { twoLevelFactorial } from "./two-level.js";

/** Factors varied together, from 1; the others stay in the middle. */
const blockTables: Readonly<Record<number, readonly (readonly number[])[]>> = {
  3: pairs(3),
  4: pairs(4),
  5: pairs(5),
  6: cyclic(6, [1, 2, 4]),
  7: cyclic(7, [1, 2, 4]),
};

function pairs(factors: number): number[][] {
  const numbers = Array.from({ length: factors }, (_, i) => i + 1);
  return numbers.flatMap((i) => numbers.slice(i).map((k) => [i, k]));
}

function cyclic(factors: number, start: readonly number[]): number[][] {
  return Array.from({ length: factors }, (_, shift) => start.map((f) => ((f - 1 + shift) % factors) + 1));
}

/** Centre coupons of the published plans. */
const usualCentres: Readonly<Record<number, number>> = { 3: 3, 4: 3, 5: 6, 6: 6, 7: 6 };

/**
 * Box-Behnken plan: two-level factorials in pairs (3 to 5 factors) or triples (6 and 7) of factors with the
 * others in the middle, and centre coupons. No coupon lies at a corner, where rigs tend to fail; what
 * happens at the corners is extrapolated.
 *
 * @param factors - 3 to 7
 * @param centres - default as published: 3, 3, 6, 6, 6
 * @throws {BeadbenchError} `bad-argument` for another number of factors
 * @source Box and Behnken, Technometrics 2 (1960) 455-475; NIST/SEMATECH e-Handbook 5.3.3.6.2
 */
export function boxBehnken(factors: number, centres = usualCentres[factors]): readonly CodedRun[] {
  const table = blockTables[factors];
  requireThat(
    table !== undefined && centres !== undefined,
    `Box-Behnken plans exist here for 3 to 7 factors, got ${factors}`,
  );
  const zeros = Array.from({ length: factors }, () => 0);
  const edges = table.flatMap((block) =>
    twoLevelFactorial(block.length).map((signs): CodedRun => {
      const coded = zeros.map((zero, j) => {
        const place = block.indexOf(j + 1);
        return place < 0 ? zero : signs[place]!;
      });
      return { role: "edge", coded };
    }),
  );
  return [...edges, ...Array.from({ length: centres }, (): CodedRun => ({ role: "centre", coded: zeros }))];
}
