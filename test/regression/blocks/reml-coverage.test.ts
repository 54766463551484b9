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

test("where blocks hardly differ, between-block intervals hold about their level and within-block ones exactly", () => {
  const [intercept, between, within, covariate] = simulate(6, 0.3);
  for (const share of [intercept!, between!]) {
    expect(share).toBeGreaterThan(0.935);
    expect(share).toBeLessThan(0.98);
  }
  expectNominal(within!, "within");
  expectNominal(covariate!, "covariate");
}, 60_000);

// With balanced blocks the intercept's t interval of the block means is exact (Searle, Casella and McCulloch 1992, section
// 3.3); with the block variance held at 0 or more it held 99 % and more where blocks do not differ.
test.each([
  [3, 0],
  [3, 2],
  [5, 0],
])("the intercept of %d balanced blocks whose sd is %d holds 95 %%", (blocks, blockSd) => {
  const stream = randomStream(2);
  const [share] = coverage(600, () => {
    const block = Array.from({ length: 4 * blocks }, (_, i) => `block ${i >> 2}`);
    const shifts = Array.from({ length: blocks }, () => blockSd * stream.normal());
    const x = block.map((_, i) => [1, i % 2 === 0 ? -1 : 1]);
    const y = x.map((row, i) => 2 + 0.5 * row[1]! + shifts[i >> 2]! + stream.normal());
    const [intercept] = fitRandomBlock({ x, y, block }, { names: ["one", "s"] }).intervals;
    return [intercept!.lower <= 2 && 2 <= intercept!.upper];
  });
  // Three binomial sd of 600.
  expect(Math.abs(share! - 0.95)).toBeLessThan(0.027);
});
