import { expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { fitRandomBlock } from "../../../lib/regression/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";

/**
 * 1000 simulated studies: blocks of 3 and 4 rows, a term w that moves between blocks, s and c within.
 * Coverage of the intercept, w, s and c.
 */
function simulate(blocks: number, blockSd: number): number[] {
  const truth = [2, 1, 0.5, -0.3];
  const stream = randomStream(1);
  return coverage(1000, () => {
    const x: number[][] = [];
    const y: number[] = [];
    const block: string[] = [];
    for (let b = 0; b < blocks; b++) {
      const shift = blockSd * stream.normal();
      for (let k = 0; k < (b % 3 === 0 ? 3 : 4); k++) {
        const row = [1, b % 2 === 0 ? -1 : 1, k % 2 === 0 ? -1 : 1, stream.normal()];
        x.push(row);
        y.push(row.reduce((sum, value, j) => sum + value * truth[j]!, shift + stream.normal()));
        block.push(`block ${b}`);
      }
    }
    const { intervals } = fitRandomBlock({ x, y, block }, { names: ["one", "w", "s", "c"] });
    return truth.map((value, j) => intervals[j]!.lower <= value && value <= intervals[j]!.upper);
  });
}

test("t intervals of a random-block fit hold the truth in 95 % of studies: blocks that clearly differ", () => {
  const shares = simulate(10, 2);
  ["intercept", "between blocks", "within", "covariate"].forEach((what, j) => {
    expectNominal(shares[j]!, what);
  });
}, 60_000);

// Theory promises less here: the block variance is often estimated as 0 and the degrees of freedom of
// what moves between blocks are rounded down, so those intervals are wider than they need be, never
// narrower. What moves within blocks keeps its 95 %.
test("where blocks hardly differ, between-block intervals are cautious and within-block ones exact", () => {
  const [intercept, between, within, covariate] = simulate(6, 0.3);
  for (const cautious of [intercept!, between!]) {
    expect(cautious).toBeGreaterThan(0.935);
    expect(cautious).toBeLessThan(0.995);
  }
  expectNominal(within!, "within");
  expectNominal(covariate!, "covariate");
}, 60_000);
