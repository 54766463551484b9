import { describe, expect, test } from "vitest";
import { chiSquareCdf, normalCdf, type RandomStream, randomStream } from "../../../lib/numeric/index.js";
import { fc } from "../../support/properties.js";

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

  test("a split is the stream of its own seed", () => {
    const split = randomStream(7).split("order").split(3);
    const again = randomStream(split.seed);
    for (let k = 0; k < 5; k++) expect(again.uniform()).toBe(split.uniform());
  });

  test("names that are spelled alike are told apart", () => {
    const stream = randomStream(1);
    const seeds = [1, "1", "01", "1/1", "", "a", "A"].map((name) => stream.split(name).seed);
    seeds.push(stream.split(1).split(1).seed, randomStream(11).split("").seed);
    expect(new Set(seeds).size).toBe(seeds.length);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY, 1.5, 2 ** 53])("refuses seed %d", (seed) => {
    expect(() => randomStream(seed)).toThrow("seed must be an integer");
  });

  test("integer refuses bounds that are not integers in rising order", () => {
    for (const [from, to] of [
      [2, 1],
      [0.5, 2],
      [0, Number.NaN],
    ] as const) {
      expect(() => randomStream(1).integer(from, to)).toThrow("two integers in rising order");
    }
  });
});

/**
 * What a user meets of a generator is mostly the first numbers of many streams: one per seed, one per split. Every
 * limit below is passed by chance in fewer than 1 of 10 000 sets of independent numbers, and the sets are fixed.
 */
describe("first numbers of many streams", () => {
  const n = 4000;
  const nth = (count: number, make: (k: number) => RandomStream): number[][] => {
    const streams = Array.from({ length: n }, (_, k) => make(k));
    return Array.from({ length: count }, () => streams.map((stream) => stream.uniform()));
  };
  const families: readonly (readonly [string, (k: number) => RandomStream])[] = [
    ["seeds 0 to 3999", (k) => randomStream(k)],
    ["seeds from -4000", (k) => randomStream(k - n)],
    ["every 2^32-th seed", (k) => randomStream(k * 2 ** 32 - 2000 * 2 ** 32)],
    ["splits by number", (k) => randomStream(1).split(k)],
    ["splits by word", (k) => randomStream(1).split(`coupon ${k}`)],
    ["one split of every seed", (k) => randomStream(k).split("order")],
    [
      "splits of splits",
      (k) =>
        randomStream(1)
          .split(Math.floor(k / 64))
          .split(k % 64),
    ],
  ];
  const within = (statistic: number, cells: number): void => {
    expect(chiSquareCdf(statistic, cells - 1)).toBeGreaterThan(1e-4);
    expect(1 - chiSquareCdf(statistic, cells - 1)).toBeGreaterThan(1e-4);
  };

  describe.each(families)("%s", (_, make) => {
    const [first, second, third] = nth(3, make) as [number[], number[], number[]];

    test("are uniform", () => {
      for (const numbers of [first, second, third]) {
        expect(distance(numbers)).toBeLessThan(2.23 / Math.sqrt(n));
        const cells = new Array<number>(100).fill(0);
        for (const u of numbers) cells[Math.floor(100 * u)]! += 1;
        within(
          cells.reduce((sum, count) => sum + (count - n / 100) ** 2 / (n / 100), 0),
          100,
        );
      }
    });

    test("fill the square evenly: first with second, and each with its neighbour's", () => {
      for (const other of [second, [...first.slice(1), first[0]!], first.map((_u, k) => first[k ^ 1]!)]) {
        const cells = new Array<number>(64).fill(0);
        // Each pair once: k ^ 1 meets every pair twice.
        const used = first.map((u, k) => [u, other[k]!] as const).filter((_pair, k) => k % 2 === 0);
        for (const [u, v] of used) cells[8 * Math.floor(8 * u) + Math.floor(8 * v)]! += 1;
        const expected = used.length / 64;
        within(
          cells.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0),
          64,
        );
      }
    });

    test("of one stream and of those 1, 2, 4, 8 ... 1024 places on are not correlated", () => {
      for (let lag = 1; lag <= 1024; lag *= 2) {
        const sum = first.reduce((total, u, k) => total + (u - 0.5) * (first[(k + lag) % n]! - 0.5) * 12, 0);
        // Standard error 1 / sqrt(n); 77 of these in all families.
        expect(Math.abs(sum / n)).toBeLessThan(4.8 / Math.sqrt(n));
      }
    });

    test("have the differences of independent numbers", () => {
      const pairs = Array.from({ length: n / 2 }, (_u, k) => first[2 * k + 1]! - first[2 * k]!);
      // The difference modulo 1 of two independent uniform numbers is uniform.
      expect(distance(pairs.map((d) => d - Math.floor(d)))).toBeLessThan(2.23 / Math.sqrt(n / 2));
    });
  });
});

describe("a long stream", () => {
  test.each([0, 1, 2, 12345])("seed %i: moments of uniform and normal numbers", (seed) => {
    const stream = randomStream(seed);
    const n = 100_000;
    const uniform = Array.from({ length: n }, () => stream.uniform() - 0.5);
    const normal = Array.from({ length: n }, () => stream.normal());
    const moment = (values: readonly number[], power: number): number =>
      values.reduce((sum, value) => sum + value ** power, 0) / n;
    // Moments k of either law and, from the moments 2k, their standard errors.
    const uniformMoment = (k: number): number => (k % 2 === 1 ? 0 : 0.5 ** k / (k + 1));
    const normalMoment = (k: number): number =>
      k % 2 === 1 ? 0 : [1, 1, 3, 15, 105, 945, 10395, 135135, 2027025][k / 2]!;
    for (let k = 1; k <= 6; k++) {
      for (const [values, law] of [
        [uniform, uniformMoment],
        [normal, normalMoment],
      ] as const) {
        const error = Math.sqrt((law(2 * k) - law(k) ** 2) / n);
        expect(Math.abs(moment(values, k) - law(k))).toBeLessThan(4.5 * error);
      }
    }
    // Neighbours, and neighbours' squares: the two numbers of one Box-Muller pair share a radius.
    const pairs = (power: number): number =>
      normal.reduce(
        (sum, z, i) =>
          sum + (z ** power - (power === 2 ? 1 : 0)) * (normal[i ^ 1]! ** power - (power === 2 ? 1 : 0)),
        0,
      ) / n;
    expect(Math.abs(pairs(1))).toBeLessThan(4.5 * Math.sqrt(2 / n));
    expect(Math.abs(pairs(2))).toBeLessThan(4.5 * 2 * Math.sqrt(2 / n));
  });
});
