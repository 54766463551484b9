import { describe, expect, test } from "vitest";
import {
  centrePoint,
  codedFromSettings,
  type DesignFactor,
  makeAxes,
  nearestLevel,
  pointFromCoded,
  type Settings,
  settingsOf,
} from "../../../lib/design/region/index.js";
import { fc } from "../../support/properties.js";
import { allPoints, cup, number } from "./small-factors.js";

describe("makeAxes", () => {
  test.each<[string, Partial<DesignFactor>, readonly number[], readonly number[]]>([
    ["whole steps", { low: 90, high: 150, step: 20 }, [90, 110, 130, 150], [-1, -1 / 3, 1 / 3, 1]],
    [
      "a last step that falls short of high",
      { low: 0, high: 1, step: 0.3 },
      [0, 0.3, 0.6, 0.9],
      [-1, -0.4, 0.2, 0.8],
    ],
    ["levels in any order", { kind: "discrete", levels: [1.2, 0.8, 1, 0.8] }, [0.8, 1, 1.2], [-1, 0, 1]],
    ["levels within a wider range", { low: 0, high: 4, levels: [1, 3] }, [1, 3], [-0.5, 0.5]],
  ])("lists the values of %s, coded -1 at low and +1 at high", (_what, change, values, coded) => {
    const [axis] = makeAxes([{ name: "a", unit: "mm", ...change }]);
    expect(axis!.values).toEqual(values);
    expect(axis!.coded).toHaveLength(coded.length);
    for (const [i, x] of coded.entries()) expect(axis!.coded[i]).toBeCloseTo(x, 11);
  });

  test("cuts a range without a step into 100 to 250 round parts that begin at low and end at high", () => {
    const range = fc.tuple(fc.integer({ min: -5000, max: 5000 }), fc.integer({ min: 1, max: 9000 }));
    fc.assert(
      fc.property(range, fc.constantFrom(0.001, 0.1, 1), ([from, width], unit) => {
        const [low, high] = [from * unit, (from + width) * unit];
        const { values, coded } = makeAxes([{ name: "a", unit: "mm", low, high }])[0]!;
        expect(Number(values[0])).toBeCloseTo(low, 9);
        expect(Number(values.at(-1))).toBeCloseTo(high, 9);
        expect(values.length).toBeGreaterThanOrEqual(101);
        expect(values.length).toBeLessThanOrEqual(252);
        expect(coded.every((x, i) => i === 0 || x > coded[i - 1]!)).toBe(true);
        expect([coded[0], coded.at(-1)]).toEqual([-1, 1]);
      }),
    );
  });

  test.each<[string, readonly Partial<DesignFactor>[], string]>([
    ["no factor", [], "at least 1 factor, got 0"],
    [
      "a name twice",
      [
        { low: 0, high: 1 },
        { low: 0, high: 2 },
      ],
      'got "a" twice',
    ],
    ["low above high", [{ low: 3, high: 2 }], "low must be below high, got 3 and 2"],
    ["no range", [{}], "low must be below high, got undefined and undefined"],
    ["a range without end", [{ low: 0, high: Number.POSITIVE_INFINITY }], "got 0 and Infinity"],
    ["a step of nothing", [{ low: 0, high: 1, step: 0 }], "step must be above 0"],
    ["a step that is no number", [{ low: 0, high: 1, step: Number.NaN }], "got NaN"],
    ["a step wider than the range", [{ low: 0, high: 1, step: 2 }], "no larger than high - low = 1, got 2"],
    ["too fine a step", [{ low: 0, high: 1, step: 1e-5 }], "into 100000 parts; at most 20000"],
    ["one level", [{ levels: [4, 4] }], "at least 2 different numbers, got [4]"],
    ["a word among numbers", [{ levels: [4, "wide"] }], 'got [4,"wide"]'],
    ["a level outside the range", [{ low: 0, high: 3, levels: [1, 4] }], "between low 0 and high 3"],
    [
      "a category of one level",
      [{ kind: "category", levels: ["x", "x"] }],
      "at least 2 different levels, got 1",
    ],
  ])("refuses %s", (_what, changes, message) => {
    expect(() => makeAxes(changes.map((change) => ({ name: "a", unit: "mm", ...change })))).toThrow(message);
  });
});

describe("points, settings and coded rows", () => {
  const axes = makeAxes([{ name: "a", unit: "mm", levels: [0, 1, 4, 9] }, cup, number("b")]);

  test("lead from one to the other and back without loss, and a point stands nearest to its own row", () => {
    for (const point of allPoints([4, 3, 11])) {
      const coded = codedFromSettings(axes, settingsOf(axes, point), "coupon");
      expect(pointFromCoded(axes, coded)).toEqual(point);
    }
  });

  test("nearestLevel leaves no level nearer, nor a lower one as near", () => {
    const levels = fc.uniqueArray(fc.integer({ min: -50, max: 50 }), { minLength: 2, maxLength: 12 });
    fc.assert(
      fc.property(levels, fc.double({ min: -3, max: 3, noNaN: true }), (values, x) => {
        const axis = makeAxes([{ name: "a", unit: "mm", levels: values }])[0]!;
        const distances = axis.coded.map((coded) => Math.abs(coded - x));
        expect(nearestLevel(axis, x)).toBe(distances.indexOf(Math.min(...distances)));
      }),
    );
    expect(nearestLevel(makeAxes([number("a", 3)])[0]!, 0)).toBe(1);
  });

  test("the centre is the middle level of numbers and walks through the levels of categories", () => {
    const centres = [0, 1, 2, 3].map((turn) => settingsOf(axes, centrePoint(axes, turn)));
    expect(centres.map(({ cup: level }) => level)).toEqual(["small", "mid", "large", "small"]);
    // 4.5 lies between 4 and 9, and 4 is the nearer.
    expect(centres.map(({ a, b }) => [a, b])).toEqual(Array.from({ length: 4 }, () => [4, 5]));
  });

  test("settings off the steps and outside the range are coded, missing and unknown ones refused", () => {
    expect(codedFromSettings(axes, { a: -9, cup: "large", b: 7.5 }, "c1")).toEqual([-3, 2, 0.5]);
    const refused = (settings: Settings, message: string) =>
      expect(() => codedFromSettings(axes, settings, "coupon C7")).toThrow(message);
    refused({ a: 1, cup: "huge", b: 1 }, 'coupon C7: cup must be one of small, mid, large, got "huge"');
    refused({ a: 1, cup: "mid" }, "coupon C7: b must be a number in mm, got undefined");
    refused({ a: Number.POSITIVE_INFINITY, cup: "mid", b: 1 }, "coupon C7: a must be a number in mm");
    refused({ a: "1", cup: "mid", b: 1 }, 'a must be a number in mm, got "1"');
  });
});
