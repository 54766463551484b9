import { describe, expect, test } from "vitest";
import { comparePassRates } from "../../../lib/models/comparison/pass-rates.js";
import {
  blockGroups,
  changeGroups,
  compareGroups,
  type GroupComparison,
  type ResponseShift,
} from "../../../lib/models/index.js";
import { normalCdf, randomStream } from "../../../lib/numeric/index.js";
import type { Coupon, StudyData } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const width = { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7 }, scale: "log" };

/** One response, current and travel speed, days as blocks. */
const definition = tigDefinition({
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
  ],
  responses: [width],
  blocks: ["day"],
});

const bead = (
  i: number,
  day: number | string,
  [current, speed, value]: readonly [number, number, number],
  more: Partial<Coupon> = {},
): Coupon =>
  coupon(`C${i}`, {
    order: i,
    blocks: { day: String(day) },
    settings: { current, travel_speed: speed },
    measured: { bead_width: value },
    ...more,
  });

const only = ({ shifts }: GroupComparison): ResponseShift => {
  expect(shifts.length).toBe(1);
  return shifts[0]!;
};

const compare = (study: StudyData, a: string, b: string): GroupComparison =>
  compareGroups(study, blockGroups(study, "day", [a, b]));

describe("two days compared are R 4.2.2's", () => {
  // lm(log(w) ~ current + speed + day), three days
  const covariance: readonly (readonly [number, number, number, number])[] = [
    [1, 120, 150, 5.1],
    [1, 140, 180, 5.22],
    [1, 160, 150, 6.45],
    [1, 130, 200, 4.61],
    [1, 150, 170, 5.83],
    [2, 125, 160, 5.36],
    [2, 145, 190, 5.41],
    [2, 160, 150, 6.71],
    [2, 130, 180, 5.02],
    [2, 150, 170, 6.18],
    [3, 120, 170, 4.74],
    [3, 140, 150, 5.78],
    [3, 155, 200, 5.33],
    [3, 150, 170, 5.69],
  ];
  const beads = covariance.map(([day, ...rest], i) => bead(i, day, rest));

  test.each([
    ["2", 0.04143219287424039, 0.0097872835926276, 0.00219599520004024],
    ["3", -0.0061959529774527, 0.0103861446192179, 0.5655031071017877],
  ])("with settings allowed for by a law, day %s", (day, estimate, error, p) => {
    const shift = only(compare({ definition, coupons: beads }, "1", day));
    expect(shift.allowedFor).toBe("straight");
    expectDigits(Math.log1p(shift.relative!.difference), estimate, 9);
    expectDigits(shift.standardError, error, 9);
    expect(shift.df).toBe(9);
    expectDigits(shift.p, p, 9);
  });

  test("at one setting by Welch's t.test, with few coupons by t.test(var.equal = TRUE)", () => {
    const at = (day: number, values: readonly number[]): readonly Coupon[] =>
      values.map((value, i) => bead(10 * day + i, day, [140, 180, value]));
    const [a, b] = [
      [5.81, 5.93, 5.72, 5.88],
      [6.12, 6.31, 6.02, 6.22, 6.45],
    ];
    const many = only(compare({ definition, coupons: [...at(1, a), ...at(2, b)] }, "1", "2"));
    expectDigits(many.df, 6.55797354775952, 10);
    expectDigits(many.p, 0.00327207085397806, 9);
    expectDigits(Math.log1p(many.relative!.lower), 0.0301074562831944, 9);
    expectDigits(Math.log1p(many.relative!.upper), 0.0985813961116998, 9);
    const few = only(
      compare({ definition, coupons: [...at(1, a.slice(0, 3)), ...at(2, b.slice(0, 3))] }, "1", "2"),
    );
    expect(few.df).toBe(4);
    expectDigits(few.p, 0.0333755309782264, 9);
    expectDigits(Math.log1p(few.relative!.upper), 0.10307693850922106, 9);
  });

  test("at the same settings by the paired t.test", () => {
    const settings = [
      [120, 250],
      [150, 120],
      [180, 200],
      [110, 180],
      [160, 160],
    ] as const;
    const of = (day: number, values: readonly number[]): readonly Coupon[] =>
      values.map((value, i) => bead(10 * day + i, day, [...settings[i]!, value]));
    const shift = only(
      compare(
        {
          definition,
          coupons: [...of(1, [5.1, 5.9, 6.4, 4.8, 5.6]), ...of(2, [5.2, 6.1, 6.7, 4.9, 5.9])],
        },
        "1",
        "2",
      ),
    );
    expect(shift.allowedFor).toBe("same-settings");
    expect(shift.df).toBe(4);
    expectDigits(shift.p, 0.0064236926519783, 9);
    expectDigits(Math.log1p(shift.relative!.lower), 0.0160470526641742, 9);
    expectDigits(Math.log1p(shift.relative!.upper), 0.0525005803475432, 9);
  });

  test("in verdicts, by fisher.test and mantelhaen.test(exact = TRUE)", () => {
    const one = { a: { passed: 3, judged: 4 }, b: { passed: 1, judged: 6 } };
    const other = { a: { passed: 2, judged: 2 }, b: { passed: 2, judged: 6 } };
    expectDigits(comparePassRates([one])!.p, 0.19047619047619, 12);
    expectDigits(comparePassRates([one, other])!.p, 0.0435374149659864, 12);
  });
});

/** Coupons of a power law on two days, at settings drawn anew. */
function drawn(
  seed: number,
  { shift = 0, scatter = 0.02, each = 8 }: { shift?: number; scatter?: number; each?: number } = {},
): readonly Coupon[] {
  const rng = randomStream(seed);
  return Array.from({ length: 2 * each }, (_, i) => {
    const day = 1 + (i % 2);
    const [current, speed] = [100 + 100 * rng.uniform(), 100 + 200 * rng.uniform()];
    // A law no layout holds: a threshold and an interaction.
    const law = 1 + 0.6 * Math.tanh((current - 130) / 40) + 0.1 * Math.sin(speed / 60) * (current / 150);
    return bead(i, day, [current, speed, 3 * law * Math.exp(shift * (day - 1) + scatter * rng.normal())]);
  });
}

test("swapping the two turns the difference round and leaves the chances", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 1e6 }),
      fc.double({ min: -0.1, max: 0.1, noNaN: true }),
      (seed, shift) => {
        const study = { definition, coupons: drawn(seed, { shift }) };
        const [one, other] = [only(compare(study, "1", "2")), only(compare(study, "2", "1"))];
        const log = (value: number): number => Math.log1p(value);
        expect(log(one.relative!.difference)).toBeCloseTo(-log(other.relative!.difference), 10);
        expect(log(one.relative!.lower)).toBeCloseTo(-log(other.relative!.upper), 10);
        expect(one.p).toBeCloseTo(other.p, 8);
        expect(one.verdict).toBe(other.verdict);
      },
    ),
    { numRuns: 25 },
  );
});

test("the range holds the true difference as often as it says, also of a law no layout holds", () => {
  let held = 0;
  const tries = 400;
  for (let seed = 1; seed <= tries; seed++) {
    const shift = 0.1 * (seed % 3) - 0.1;
    const { relative } = only(compare({ definition, coupons: drawn(seed, { shift, each: 9 }) }, "1", "2"));
    const truth = Math.expm1(shift);
    if (relative!.lower <= truth && truth <= relative!.upper) held++;
  }
  // 95 % less three standard errors of 400 tries, and what a law that is only near costs.
  expect(held / tries).toBeGreaterThan(0.9);
});

test("with several results, a comparison of like days names a difference in one of twenty at most", () => {
  const three = tigDefinition({
    responses: ["bead_width", "bead_height", "penetration"].map((name) => ({ name, unit: "mm" })),
    blocks: ["day"],
  });
  const rng = randomStream(7);
  let named = 0;
  const tries = 400;
  for (let k = 0; k < tries; k++) {
    const coupons = Array.from({ length: 12 }, (_, i) =>
      coupon(`C${i}`, {
        order: i,
        blocks: { day: String(1 + (i % 2)) },
        settings: { current: 150, travel_speed: 200, wire_feed_speed: 1 },
        measured: {
          bead_width: 6 * Math.exp(0.03 * rng.normal()),
          bead_height: 2 * Math.exp(0.03 * rng.normal()),
          penetration: 1.5 * Math.exp(0.03 * rng.normal()),
        },
      }),
    );
    const { shifts } = compare({ definition: three, coupons }, "1", "2");
    if (shifts.some(({ verdict }) => verdict === "differs")) named++;
  }
  expect(named / tries).toBeLessThan(0.05 + 3 * Math.sqrt((0.05 * 0.95) / tries));
});

test("whether it matters is the loss of conforming coupons", () => {
  const at = (day: number, centre: number): readonly Coupon[] =>
    Array.from({ length: 12 }, (_, i) =>
      bead(20 * day + i, day, [140, 180, centre * Math.exp(0.05 * Math.sin(1 + 2.4 * i))]),
    );
  const far = only(compare({ definition, coupons: [...at(1, 6), ...at(2, 6.9)] }, "1", "2"));
  expect(far.verdict).toBe("matters");
  const { conforming, tolerated } = far.specification!;
  // Aimed at the middle of ln 5 to ln 7, with the scatter and shift found.
  const s = Math.log1p(far.scatter / far.at);
  const half = Math.log(7 / 5) / 2;
  expect(conforming[0]).toBeCloseTo(2 * normalCdf(half / s) - 1, 2);
  expect(conforming[1]).toBeLessThan(conforming[0] - 0.05);
  expect(tolerated.upper!).toBeGreaterThan(0);
  expect(far.difference).toBeGreaterThan(tolerated.upper!);
  const near = only(compare({ definition, coupons: [...at(1, 6), ...at(2, 6.01)] }, "1", "2"));
  expect(near.verdict).toBe("alike");
  const unasked = tigDefinition({ ...definition, responses: [{ name: "bead_width", unit: "mm" }] });
  const open = only(compare({ definition: unasked, coupons: [...at(1, 6), ...at(2, 6.9)] }, "1", "2"));
  expect(open.verdict).toBe("differs");
  expect(open.specification).toBeUndefined();
});

test("days that go with a cylinder are taken as drawn by chance, or named", () => {
  const blocks = tigDefinition({ ...definition, blocks: ["cylinder", "day"] });
  const rng = randomStream(3);
  const make = (days: number): StudyData => ({
    definition: blocks,
    coupons: Array.from({ length: 6 * days }, (_, i) => {
      const day = i % days;
      return bead(i, day, [140, 180, 6 * Math.exp(0.1 * Math.sin(7 * day) + 0.01 * rng.normal())], {
        blocks: { cylinder: day < days / 2 ? "1" : "2", day: String(day) },
      });
    }),
  });
  const many = make(6);
  const shift = only(compareGroups(many, blockGroups(many, "cylinder")));
  expect(shift.otherBlocks).toBe("random");
  expect(shift.df).toBeLessThan(8);
  expect(shift.upper - shift.lower).toBeGreaterThan(0.6);
  const two = make(2);
  const told = compareGroups(two, blockGroups(two, "cylinder"));
  expect(only(told).otherBlocks).toBe("not-told-apart");
  expect(told.findings.map(({ code }) => code)).toContain("blocks-not-told-apart");
});

test("what cannot be told is left out with its reason, never guessed", () => {
  const together = {
    definition,
    coupons: [1, 2, 3, 4].map((i) => bead(i, i < 3 ? 1 : 2, [i < 3 ? 120 : 160, 180, 5 + 0.1 * i])),
  };
  expect(compare(together, "1", "2").left[0]!.reason).toMatch(/moved together.*run some settings in both/);
  const alone = { definition, coupons: [bead(1, 1, [140, 180, 5.9]), bead(2, 2, [140, 180, 6.1])] };
  expect(compare(alone, "1", "2").left[0]!.reason).toMatch(/too few coupons/);
  const single = { definition, coupons: [...drawn(5), bead(99, 3, [150, 200, 4.5])] };
  const found = compare(single, "1", "3");
  expect(only(found).coupons[1]).toBe(1);
  expect(found.findings.map(({ code }) => code)).toContain("single-coupon");
  expect(() => compare({ definition, coupons: [] }, "1", "2")).toThrow(/no coupon was logged with day 1/);
  expect(() => compare(single, "1", "1")).toThrow(/two different/);
  expect(() => blockGroups(single, "constructor")).toThrow(/"constructor" is no block/);
});

test("names of any kind are names", () => {
  const odd = tigDefinition({ ...definition, blocks: ["constructor"] });
  const named = {
    definition: odd,
    coupons: drawn(8).map((one) => ({
      ...one,
      blocks: { constructor: one.blocks.day === "1" ? "__proto__" : 'ö "2"' },
    })),
  } as StudyData;
  const groups = blockGroups(named, "constructor");
  expect([groups.a, groups.b].sort()).toEqual(["__proto__", 'ö "2"']);
  expect(only(compareGroups(named, groups)).coupons).toEqual([8, 8]);
  const without = { definition: odd, coupons: drawn(8) };
  expect(() => blockGroups(without, "constructor")).toThrow(/no coupon names one/);
});

test("a change parts what was run before it, since the change before, from what came after", () => {
  const coupons = drawn(4, { shift: 0 }).map((one, i) => ({ ...one, order: i + 1 }));
  const change = (before: string) => ({ what: "tungsten", before, seq: 1, time: "2026-01-02T08:00:00Z" });
  const study = { definition, coupons, changes: [change(coupons[4]!.id), change(coupons[10]!.id)] };
  const groups = changeGroups(study as never, "tungsten");
  expect(coupons.filter((one) => groups.labelOf(one) === "before")).toHaveLength(6);
  expect(coupons.filter((one) => groups.labelOf(one) === "after")).toHaveLength(6);
  expect(() => changeGroups(study as never, "__proto__")).toThrow(/no change of __proto__/);
});
