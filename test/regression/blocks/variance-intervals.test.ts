import { describe, expect, test } from "vitest";
import { fitRandomBlock } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Case {
  readonly x: number[][];
  readonly y: number[];
  readonly block: string[];
}
const cases = ["unbalanced", "splitPlot", "boundary"] as const;
const data = readFixture<Record<string, Case>>(import.meta.url, "../fixtures/reml.json");
/** Brute force with dense matrices (fixtures/reml_profile.py). */
const reference = readFixture<
  Record<string, { readonly error: [number, number]; readonly block: [number, number] }>
>(import.meta.url, "../fixtures/reml-profile.json");
const fitOf = ({ x, y, block }: Case, level = 0.95) =>
  fitRandomBlock({ x, y, block }, { names: x[0]!.map((_, j) => `b${j}`), level });

describe("intervals of the variances", () => {
  test.each(cases)("%s: dense profiles of the restricted likelihood", (name) => {
    const [error, block] = fitOf(data[name]!).varianceIntervals;
    const want = reference[name]!;
    expectDigits(error!.lower, want.error[0], 7);
    expectDigits(error!.upper, want.error[1], 7);
    if (want.block[0] === 0) expect(block!.lower).toBe(0);
    else expectDigits(block!.lower, want.block[0], 7);
    expectDigits(block!.upper, want.block[1], 7);
  });

  test.each(cases)("%s: follow the unit of the response and widen with the level", (name) => {
    const plain = fitOf(data[name]!).varianceIntervals;
    const large = fitOf({ ...data[name]!, y: data[name]!.y.map((v) => 1000 * v) }).varianceIntervals;
    const wide = fitOf(data[name]!, 0.99).varianceIntervals;
    plain.forEach((interval, k) => {
      expect(Math.abs(large[k]!.lower - 1e6 * interval.lower)).toBeLessThanOrEqual(
        1e-6 * 1e6 * interval.lower,
      );
      expectDigits(large[k]!.upper, 1e6 * interval.upper, 6);
      expect(wide[k]!.upper).toBeGreaterThan(interval.upper);
      expect(wide[k]!.lower).toBeLessThanOrEqual(interval.lower);
      expect(interval.lower).toBeLessThanOrEqual(interval.estimate);
      expect(interval.upper).toBeGreaterThan(interval.estimate);
    });
  });

  test("are left out where the block variance cannot be seen", () => {
    const fit = fitOf({ x: [[1], [1], [1], [1]], y: [1, 2, 4, 3], block: ["a", "b", "c", "d"] });
    expect(fit.varianceIntervals).toEqual([]);
  });
});
