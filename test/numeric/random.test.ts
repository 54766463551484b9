import { describe, expect, test } from "vitest";
import { chiSquareCdf, normalCdf, randomStream } from "../../lib/numeric/index.js";
import { fc } from "../support/properties.js";

/** Kolmogorov-Smirnov distance of values from the uniform distribution. */
function distance(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const n = sorted.length;
  return sorted.reduce((most, u, i) => Math.max(most, (i + 1) / n - u, u - i / n), 0);
}

describe("randomStream", () => {
  // The 1 in 10000 point of Kolmogorov's distribution is 2.23 / sqrt(n).
  test.each([1, 7, -12, 2 ** 31 - 1])(
    "seed %i: uniform and normal numbers pass Kolmogorov-Smirnov",
    (seed) => {
      const stream = randomStream(seed);
      const n = 4000;
      const uniforms = Array.from({ length: n }, () => stream.uniform());
      const normals = Array.from({ length: n }, () => normalCdf(stream.normal()));
      expect(distance(uniforms)).toBeLessThan(2.23 / Math.sqrt(n));
      expect(distance(normals)).toBeLessThan(2.23 / Math.sqrt(n));
    },
  );

  test("integers take every value about equally often", () => {
    const stream = randomStream(3);
    const counts = new Array<number>(6).fill(0);
    for (let k = 0; k < 6000; k++) counts[stream.integer(0, 5)]! += 1;
    const chiSquare = counts.reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0);
    expect(1 - chiSquareCdf(chiSquare, 5)).toBeGreaterThan(1e-4);
  });

  test("a shuffle is a permutation, leaves its input alone and reaches every order", () => {
    const items = Object.freeze(["a", "b", "c"]);
    const stream = randomStream(10);
    const orders = new Map<string, number>();
    for (let k = 0; k < 600; k++) {
      const order = stream.shuffle(items).join("");
      orders.set(order, (orders.get(order) ?? 0) + 1);
    }
    expect(orders.size).toBe(6);
    const chiSquare = [...orders.values()].reduce((sum, count) => sum + (count - 100) ** 2 / 100, 0);
    expect(1 - chiSquareCdf(chiSquare, 5)).toBeGreaterThan(1e-4);
  });

  test("the same seed repeats; a split depends on its name and not on what was drawn before", () => {
    fc.assert(
      fc.property(fc.integer(), fc.string(), fc.integer({ min: 0, max: 20 }), (seed, name, drawn) => {
        const first = randomStream(seed);
        const second = randomStream(seed);
        for (let k = 0; k < drawn; k++) second.uniform();
        expect(second.split(name).uniform()).toBe(first.split(name).uniform());
        expect(first.uniform()).toBe(randomStream(seed).uniform());
      }),
    );
  });

  test("splits and neighbouring seeds are not correlated", () => {
    const n = 2000;
    const correlation = (a: readonly number[], b: readonly number[]): number =>
      a.reduce((sum, value, i) => sum + (value - 0.5) * (b[i]! - 0.5) * 12, 0) / n;
    const draw = (stream: { uniform(): number }): number[] =>
      Array.from({ length: n }, () => stream.uniform());
    const base = draw(randomStream(5));
    // Standard error of a correlation of independent numbers: 1 / sqrt(n) = 0.022; five of them.
    for (const other of [randomStream(6), randomStream(5).split("a"), randomStream(5).split("b")]) {
      expect(Math.abs(correlation(base, draw(other)))).toBeLessThan(0.11);
    }
  });

  test("refuses a seed that is not a number", () => {
    expect(() => randomStream(Number.NaN)).toThrow("seed must be a finite number");
  });
});
