import { describe, expect, test } from "vitest";
import {
  allowedSpan,
  brokenLimits,
  type DesignLimit,
  makeAxes,
  makeRegion,
  meetsLimits,
  randomAllowedPoint,
  requireAllowedPoint,
  type Settings,
  settingsOf,
  spreadAllowedPoints,
} from "../../../lib/design/region/index.js";
import { BeadbenchError } from "../../../lib/errors/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { fc } from "../../support/properties.js";
import { allPoints, cup, number } from "./small-factors.js";

const sum = (names: readonly string[]) => (settings: Settings) =>
  names.reduce((total, name) => total + Number(settings[name]), 0);

describe("limits", () => {
  // Arc energy 60 U I / (1000 v) as in ISO/TR 18491, from memory: 60 x 12 V x 120 A / (1000 x 100 mm/min) = 0.864 kJ/mm.
  const arcEnergy: DesignLimit = {
    name: "arc energy",
    unit: "kJ/mm",
    value: ({ current, speed }) => (60 * 12 * Number(current)) / (1000 * Number(speed)),
    min: 0.4,
    max: 0.864,
  };
  const thin: DesignLimit = { name: "thin", value: ({ speed }) => Math.sqrt(Number(speed) - 90), min: 0 };

  test.each([
    ["met on the upper bound itself", 120, 100, []],
    ["met on the lower bound itself", 100, 180, []],
    ["above", 121, 100, ["arc energy"]],
    ["below", 100, 181, ["arc energy"]],
    ["not a number", 90, 80, ["thin"]],
    ["both", 150, 80, ["arc energy", "thin"]],
  ] as const)("%s: %i A at %i mm/min breaks %j", (_what, current, speed, broken) => {
    expect(brokenLimits([arcEnergy, thin], { current, speed })).toEqual(broken);
    expect(meetsLimits([arcEnergy, thin], { current, speed })).toBe(broken.length === 0);
  });

  test("need a bound, and min no higher than max", () => {
    const axes = makeAxes([number("a")]);
    const limit = { name: "width", value: sum(["a"]) };
    expect(() => makeRegion(axes, [limit])).toThrow('limit "width" needs a min or a max');
    expect(() => makeRegion(axes, [{ ...limit, min: 2, max: 1 }])).toThrow("min 2 is above max 1");
  });

  test("give the same answer about a point however often it is asked, each of its own", () => {
    const region = makeRegion(makeAxes([number("a", 3), cup, number("b", 5)]), [
      { name: "total", value: (s) => sum(["a", "b"])(s) + (s.cup === "large" ? 2 : 0), max: 5 },
    ]);
    for (let round = 0; round < 2; round++) {
      for (const point of allPoints([4, 3, 6])) {
        const [a, level, b] = point as [number, number, number];
        expect(region.allows(point)).toBe(a + b + (level === 2 ? 2 : 0) <= 5);
      }
    }
  });
});

describe("requireAllowedPoint", () => {
  const axes = makeAxes(["x", "y", "z"].map((name) => number(name)));
  const difference = (one: string, two: string, max?: number): DesignLimit => ({
    name: `${one} over ${two}`,
    value: (s) => Number(s[one]) - Number(s[two]),
    ...(max === undefined ? { min: 1 } : { max }),
  });
  const refusal = (limits: readonly DesignLimit[]): BeadbenchError => {
    try {
      requireAllowedPoint(makeRegion(axes, limits), randomStream(4));
    } catch (error) {
      expect(error).toBeInstanceOf(BeadbenchError);
      return error as BeadbenchError;
    }
    throw new Error("nothing was refused");
  };

  test("finds the one point of 1331 that a limit leaves, wherever it lies", () => {
    const place = fc.array(fc.integer({ min: 0, max: 10 }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(place, fc.integer(), (point, seed) => {
        const near: DesignLimit = {
          name: "near",
          value: ({ x, y, z }) =>
            Math.abs(Number(x) - point[0]!) +
            Math.abs(Number(y) - point[1]!) +
            Math.abs(Number(z) - point[2]!),
          max: 0.5,
        };
        expect(requireAllowedPoint(makeRegion(axes, [near]), randomStream(seed))).toEqual(point);
      }),
    );
  });

  test("names the one limit that alone leaves nothing, with the closest value that can be reached", () => {
    const fine: DesignLimit = { name: "fine", value: sum(["x"]), min: 1 };
    const error = refusal([fine, { name: "total", value: sum(["x", "y", "z"]), min: 31, unit: "mm" }]);
    expect([error.code, error.details]).toEqual(["infeasible", { limits: ["total"] }]);
    expect(error.message).toContain(
      'the limit "total at least 31 mm" alone leaves no setting: the closest reachable value is 30 mm at x 10 mm, y 10 mm, z 10 mm',
    );
  });

  test("names the two that shut each other out, or all where it takes more than two", () => {
    const fine: DesignLimit = { name: "fine", value: sum(["z"]), min: 1 };
    const more = difference("x", "y");
    const less = { ...difference("x", "y", 0), name: "x under y" };
    for (const limits of [
      [more, fine, less],
      [more, less, fine],
      [fine, more, less],
    ]) {
      expect(refusal(limits).details.limits).toEqual(["x over y", "x under y"]);
    }
    // x above y above z above x: any two of them can be met.
    const ring = [difference("x", "y"), difference("y", "z"), difference("z", "x")];
    for (const [i] of ring.entries()) {
      const two = ring.filter((_, k) => k !== i);
      const point = requireAllowedPoint(makeRegion(axes, two), randomStream(4));
      expect(brokenLimits(two, settingsOf(axes, point))).toEqual([]);
    }
    expect(refusal(ring).details.limits).toEqual(["x over y", "y over z", "z over x"]);
  });
});

describe("points within a region", () => {
  test("allowedSpan reaches as far as a walk step by step does, and leaves the point where it was", () => {
    const bound = fc.integer({ min: 0, max: 40 });
    const region = (low: number, width: number) =>
      makeRegion(makeAxes([number("x", 20), number("y", 20)]), [
        { name: "sum", value: sum(["x", "y"]), min: low, max: low + width },
      ]);
    fc.assert(
      fc.property(bound, bound, fc.nat({ max: 440 }), (low, width, pick) => {
        const allowed = allPoints([21, 21]).filter(([x, y]) => x! + y! >= low && x! + y! <= low + width);
        const point = [...allowed[pick % allowed.length]!];
        const levels = allowed.filter(([, y]) => y === point[1]).map(([x]) => x!);
        const before = [...point];
        expect(allowedSpan(region(low, width), point, 0)).toEqual([Math.min(...levels), Math.max(...levels)]);
        expect(point).toEqual(before);
      }),
    );
  });

  test("are drawn with equal chances where the region is wide, the axes that stand still kept", () => {
    const region = makeRegion(makeAxes([number("x", 2), number("y", 2), cup]), [
      { name: "sum", value: sum(["x", "y"]), max: 2 },
    ]);
    const stream = randomStream(11);
    const counts = new Map<string, number>();
    for (let i = 0; i < 6000; i++) {
      const point = randomAllowedPoint({ region, start: [0, 0, 1], stream, movable: [0, 1] });
      counts.set(point.join(), (counts.get(point.join()) ?? 0) + 1);
    }
    expect([...counts.keys()].sort()).toEqual(["0,0,1", "0,1,1", "0,2,1", "1,0,1", "1,1,1", "2,0,1"]);
    // 99.9 % point of chi-square with 5 degrees of freedom; R: qchisq(0.999, 5).
    const chiSquare = [...counts.values()].reduce((total, n) => total + (n - 1000) ** 2 / 1000, 0);
    expect(chiSquare).toBeLessThan(20.5150056524);
  });

  test("are found by walking where chance would hardly meet one", () => {
    const axes = makeAxes(Array.from({ length: 6 }, (_, j) => number(`x${j}`, 100)));
    const names = axes.map(({ name }) => name);
    const region = makeRegion(axes, [{ name: "sum", value: sum(names), max: 12 }]);
    const start = names.map(() => 0);
    const stream = randomStream(2);
    const points = spreadAllowedPoints({ region, count: 30, start, seed: 2, stream });
    expect(points).toHaveLength(30);
    expect(points.every((point) => point.reduce((a, b) => a + b) <= 12)).toBe(true);
    expect(new Set(points.map(String)).size).toBeGreaterThan(20);
  });

  // Sobol' (1967): the first 2^m points in two dimensions are a (0, m, 2)-net, each elementary box holding one.
  test("spread over two axes of four levels meet each pair of levels once in 16 points", () => {
    const region = makeRegion(makeAxes([number("x", 3), number("y", 3)]), []);
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const stream = randomStream(seed);
        const points = spreadAllowedPoints({ region, count: 16, start: [0, 0], seed, stream });
        expect(points.map(String).sort()).toEqual(allPoints([4, 4]).map(String).sort());
      }),
    );
  });
});
