import { describe, expect, test } from "vitest";
import { normalCdf, normalQuantile } from "../../lib/numeric/index.js";
import { makeBoxProbability } from "../../lib/window/box-probability.js";
import { quickNormalCdf, quickNormalQuantile } from "../../lib/window/tabulated-normal.js";
import { readFixture } from "../support/fixture.js";

interface Case {
  readonly mean: number[];
  readonly covariance: number[];
  readonly lower: number[];
  readonly upper: (number | null)[];
  readonly probability: number;
}
const { cases } = readFixture<{ cases: Case[] }>(import.meta.url, "fixtures/box-probability.json");

const boxOf = ({ mean, covariance, lower, upper }: Case): number =>
  makeBoxProbability(
    lower,
    upper.map((value) => value ?? Number.POSITIVE_INFINITY),
  )(Float64Array.from(mean), Float64Array.from(covariance));

describe("makeBoxProbability", () => {
  // Errors measured with 16 quasi-random points: 0.001 in two dimensions, 0.012 in six.
  test.each(cases.map((item) => [item.mean.length, item] as const))(
    "agrees with SciPy in %i dimensions within its stated error",
    (n, item) => {
      const tolerance = n === 1 ? 1e-8 : n === 2 ? 0.004 : 0.02;
      expect(Math.abs(boxOf(item) - item.probability)).toBeLessThan(tolerance);
    },
  );

  test("is the product of the margins when nothing correlates, and 0 far away", () => {
    const box = makeBoxProbability([-1, -2], [1, Number.POSITIVE_INFINITY]);
    const independent = Float64Array.of(1, 0, 0, 4);
    const product = (normalCdf(1) - normalCdf(-1)) * (1 - normalCdf(-1));
    expect(Math.abs(box(Float64Array.of(0, 0), independent) - product)).toBeLessThan(1e-8);
    expect(box(Float64Array.of(40, 0), independent)).toBe(0);
  });

  test("survives perfect correlation", () => {
    const box = makeBoxProbability([-1, -1], [1, 1]);
    const one = box(Float64Array.of(0, 0), Float64Array.of(1, 1, 1, 1));
    expect(Math.abs(one - (normalCdf(1) - normalCdf(-1)))).toBeLessThan(1e-3);
  });
});

describe("the tabulated normal", () => {
  test("keeps 1e-9 of the exact distribution function, tails and infinities included", () => {
    let worst = 0;
    for (let z = -9; z <= 9; z += 0.00713)
      worst = Math.max(worst, Math.abs(quickNormalCdf(z) - normalCdf(z)));
    expect(worst).toBeLessThan(1e-9);
    expect(quickNormalCdf(Number.NEGATIVE_INFINITY)).toBe(0);
    expect(quickNormalCdf(Number.POSITIVE_INFINITY)).toBe(1);
  });

  test("keeps 5e-5 of the exact quantile", () => {
    let worst = 0;
    for (let p = 0.0007; p < 1; p += 0.00131) {
      worst = Math.max(worst, Math.abs(quickNormalQuantile(p) - normalQuantile(p)));
    }
    expect(worst).toBeLessThan(5e-5);
  });
});
