import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../lib/errors/index.js";
import { type DesirabilityGoal, desirability } from "../../lib/window/index.js";
import { expectDigits } from "../support/digits.js";
import { readFixture } from "../support/fixture.js";

/**
 * G. Derringer and R. Suich, J. Quality Technology 12 (1980) 214-219, tire tread compound. Data read from
 * the NIST/SEMATECH e-Handbook 5.5.3.2.2; the published optimum is recalled from memory; the values at it
 * were recomputed with R 4.2.2 from the data.
 */
const tread = readFixture<{
  X: number[][];
  Y: number[][];
  desirability: DesirabilityGoal[];
  publishedRecalled: { y: number[]; d: number[]; D: number };
  atPublished: { y: number[]; d: number[]; D: number };
  optimum: number[];
  optimumD: number;
}>(import.meta.url, "fixtures/tire-tread.json");

describe("desirability", () => {
  test("reproduces the tire tread example at the published setting", () => {
    const found = desirability(tread.desirability, tread.atPublished.y);
    found.each.forEach((d, i) => {
      expectDigits(d, tread.atPublished.d[i]!, 9, `d${i + 1}`);
      expect(Math.abs(d - tread.publishedRecalled.d[i]!)).toBeLessThan(0.006);
    });
    expectDigits(found.overall, tread.atPublished.D, 9, "D");
    expect(Math.abs(found.overall - tread.publishedRecalled.D)).toBeLessThan(0.002);
  });

  test("is 0 out of bounds of one response and 1 with all met", () => {
    const goals: DesirabilityGoal[] = [
      { goal: "maximize", low: 0, high: 1 },
      { goal: "minimize", low: 0, high: 1 },
    ];
    expect(desirability(goals, [1, 0])).toEqual({ each: [1, 1], overall: 1 });
    expect(desirability(goals, [-0.1, 0]).overall).toBe(0);
  });

  test("exponents make a response more or less strict", () => {
    const at = (exponent: number): number =>
      desirability([{ goal: "maximize", low: 0, high: 1, exponent }], [0.25]).overall;
    expect([at(0.5), at(1), at(2)]).toEqual([0.5, 0.25, 0.0625]);
  });

  test("refuses bounds out of order and counts that differ", () => {
    expect(() => desirability([{ goal: "target", low: 0, target: 2, high: 1 }], [1])).toThrow(BeadbenchError);
    expect(() => desirability([], [])).toThrow(/one value per goal/);
  });
});
