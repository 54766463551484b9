import { describe, expect, test } from "vitest";
import { filterCourse } from "../../../lib/models/decay/course-filter.js";
import {
  type CoolingCourse,
  type CoolingReading,
  type CourseTraits,
  coolingCourse,
  dwellTo,
} from "../../../lib/models/decay/index.js";
import { choleskyInPlace, randomStream, solveLower } from "../../../lib/numeric/index.js";
import { dwellTime, lumpTemperature } from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { cooledWall, timeShown } from "./walls.js";

function described(course: ReturnType<typeof coolingCourse>): CoolingCourse {
  if (course.status !== "cooling") throw new Error(course.findings[0]!.message);
  return course;
}
const codes = ({ findings }: { readonly findings: readonly { readonly code: string }[] }): string[] =>
  findings.map(({ code }) => code);
const steps = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));
const holds = (
  { lower, upper }: { readonly lower: number | null; readonly upper: number | null },
  truth: number,
): boolean => (lower ?? Number.POSITIVE_INFINITY) <= truth && truth <= (upper ?? Number.POSITIVE_INFINITY);

/** A part at 400 degC in 20 degC, tau 150 s. */
const lump = (seed: number, sd: number, times: readonly number[], floor = 20): CoolingReading[] => {
  const random = randomStream(seed);
  return times.map((time) => ({
    time,
    temperature:
      lumpTemperature({ from: 400, surroundings: floor, timeConstant: 150, time }) + sd * random.normal(),
  }));
};

const traits: CourseTraits = {
  floor: 20,
  rate: 0.02,
  slowing: 0,
  straying: null,
  fast: null,
  age: 10,
  readingSd: 1e-6,
  wander: { sd: 1e-9, time: 5 },
};

describe("filterCourse", () => {
  test("has the likelihood of the joint normal distribution, written out in full", () => {
    const time = [0, 1, 3, 4, 7, 11, 12];
    const temperature = [300, 296.5, 281, 279, 258, 246, 239];
    const one = { ...traits, slowing: 0.5, readingSd: 1.3, wander: { sd: 2, time: 4 } };
    // Excess by hand: E = E0 exp(-lambda s0^m (s^(1-m) - s0^(1-m))/(1-m)) with m = 1/2.
    const left = time.map((t) => Math.exp(-0.02 * 2 * (Math.sqrt(10 * (10 + t)) - 10)));
    const lasting = (a: number, b: number): number => 4 * Math.exp(-Math.abs(a - b) / 4);
    // Misses of the curve through the first reading, whose own error they all carry.
    const misses = temperature.slice(1).map((value, i) => value - 20 - left[i + 1]! * 280);
    const n = misses.length;
    const covariance = Float64Array.from({ length: n * n }, (_, k) => {
      const [i, j] = [Math.floor(k / n) + 1, (k % n) + 1];
      const [a, b] = [left[i]!, left[j]!];
      return (
        lasting(time[i]!, time[j]!) -
        a * lasting(0, time[j]!) -
        b * lasting(0, time[i]!) +
        a * b * (4 + 1.69) +
        (i === j ? 1.69 : 0)
      );
    });
    choleskyInPlace(covariance, n);
    const white = Float64Array.from(misses);
    solveLower(covariance, n, white);
    let expected = -0.5 * n * Math.log(2 * Math.PI);
    for (let i = 0; i < n; i++) expected -= 0.5 * white[i]! ** 2 + Math.log(covariance[i * n + i]!);
    expectDigits(filterCourse({ time, temperature }, one).logLikelihood, expected, 9);
  });
});

describe("dwellTo on a known course", () => {
  const known = (one: CourseTraits): CoolingCourse => {
    const time = steps(0, 40, 21);
    return {
      status: "cooling",
      kinds: [],
      courses: [one],
      oneExponential: 0,
      floor: { estimate: 20, lower: 20, upper: 20, told: true },
      slips: [],
      readings: { time, temperature: time.map((t) => 20 + 400 * excess(one, t)) },
      before: { time: [], temperature: [] },
      level: 0.95,
      findings: [],
    };
  };
  /** Share of the excess left, from the closed forms. */
  function excess({ rate, slowing, fast, age }: CourseTraits, t: number): number {
    const s = (age + t) / age;
    const fall =
      slowing === 1 ? rate * age * Math.log(s) : (rate * age * (s ** (1 - slowing) - 1)) / (1 - slowing);
    const { share, rate: quick } = fast ?? { share: 0, rate: 0 };
    return (1 - share) * Math.exp(-fall) + share * Math.exp(-quick * t);
  }

  test.each([
    ["one exponential", traits],
    ["a power of time", { ...traits, slowing: 1, rate: 0.05 }],
    ["a slowing rate", { ...traits, slowing: 0.4 }],
    ["two exponentials", { ...traits, rate: 0.01, fast: { share: 0.6, rate: 0.2 } }],
  ])("gives back the time of %s, within the log and beyond it", (_what, one) => {
    const course = known(one);
    for (const time of [3, 17.3, 39, 60, 180]) {
      const got = dwellTo(course, 20 + 400 * excess(one, time), { draws: 100 });
      expectDigits(got.estimate!, time, 3.5, `${time} s`);
      expect(got.logged).toBe(time < 40);
    }
  });
});

describe("parts that cool as one lump", () => {
  test("400 to 150 degC in 20 degC, tau 150 s, takes 160.90 s (by hand), whether logged so far or not", () => {
    for (const until of [400, 120]) {
      const dwell = dwellTo(described(coolingCourse(lump(1, 0.05, steps(0, until, 25)))), 150);
      expectDigits(dwell.estimate!, 160.9, until > 160 ? 3 : 2);
      expect(holds(dwell, 160.9)).toBe(true);
    }
  });

  test("the limits hold the true dwell in 90 % of short logs or more, and are no wider than they need to be", () => {
    const truth = dwellTime({ from: 400, to: 150, surroundings: 20, timeConstant: 150 });
    const dwells = Array.from({ length: 40 }, (_, run) =>
      dwellTo(described(coolingCourse(lump(run, 3, steps(5, 120, 24)), { surroundings: 20 })), 150, {
        draws: 400,
      }),
    );
    // 95 % less 3 binomial sd of 40.
    expect(dwells.filter((dwell) => holds(dwell, truth)).length).toBeGreaterThanOrEqual(34);
    const widths = dwells.map(({ lower, upper }) => (upper ?? Number.POSITIVE_INFINITY) / lower!);
    expect(widths.sort((a, b) => a - b)[20]!).toBeLessThan(2.5);
  });

  test("a log that levels out tells what the part cools towards, and what is never reached", () => {
    const course = described(coolingCourse(lump(2, 1, steps(5, 900, 40), 60)));
    expect(course.floor.told).toBe(true);
    expect(Math.abs(course.floor.estimate - 60)).toBeLessThan(2);
    const never = dwellTo(course, 50);
    expect(never).toMatchObject({ estimate: null, upper: null, reach: "never" });
    expect(codes(never)).toEqual(["interpass-unreachable"]);
    expect(dwellTo(course, 500)).toMatchObject({ estimate: 0, lower: 0, upper: 0, reach: "reached" });
  });

  test("a log too short for a floor says so, gives no safe dwell to a low temperature, and asks for a longer one", () => {
    const course = described(coolingCourse(lump(3, 3, steps(5, 40, 12))));
    expect(course.floor.told).toBe(false);
    expect(course.floor.lower).toBeLessThan(20);
    expect(course.floor.upper).toBeGreaterThan(100);
    expect(codes(course)).toContain("floor-not-told");
    const dwell = dwellTo(course, 60);
    expect(dwell).toMatchObject({ upper: null, reach: "unsure" });
    expect(codes(dwell)).toEqual(["interpass-unsure"]);
    expect(dwell.findings[0]!.advice).toMatch(/log on until the part is at 60/);
  });

  test("neither the order of the readings nor JSON matters", () => {
    const log = lump(4, 2, steps(0, 200, 15));
    const course = described(coolingCourse(log));
    expect(coolingCourse([...log].reverse())).toEqual(course);
    expect(dwellTo(JSON.parse(JSON.stringify(course)), 150)).toEqual(dwellTo(course, 150));
  });

  test("a log that ends while the fall still quickens is not forecast from", () => {
    const hump = steps(0, 20, 21).map((time) => ({ time, temperature: 400 - 0.2 * (time - 5) ** 2 }));
    const course = coolingCourse(hump);
    expect(course.status).toBe("not-begun");
    expect(codes(course)).toEqual(["cooling-not-begun"]);
  });

  test("refuses readings no part shows, and too few of them", () => {
    const log = lump(1, 1, steps(0, 300, 8));
    expect(() => coolingCourse(log.slice(0, 3))).toThrow(/at 4 different times or more, got 3 at 3/);
    expect(() => coolingCourse([...log, { time: 5, temperature: 9000 }])).toThrow(/temperature must be/);
    expect(() => coolingCourse(log, { surroundings: -400 })).toThrow(/temperature must be/);
  });
});

/** Walls whose law the course does not hold: finite differences of a fin on a plate that warms. */
describe("walls that conduct, convect and radiate, logged for 10 to 90 s", () => {
  const WALLS = 120;
  const logged = Array.from({ length: WALLS }, (_, i) => {
    const random = randomStream(70_000 + i).split("wall");
    const wall = cooledWall(random, { duration: 600, every: 1 });
    const until = 10 + Math.floor(80 * random.uniform() ** 2);
    const log = wall.readings.filter(({ time }) => time <= until);
    return { wall, log };
  }).flatMap(({ wall, log }) => {
    if (log.length < 8) return [];
    const course = coolingCourse(log);
    return course.status === "cooling" ? [{ wall, end: log.at(-1)!.time, course }] : [];
  });
  const forecasts = (share: number) =>
    logged.flatMap(({ wall, end, course }) => {
      const last = wall.shown[end]!;
      const target = wall.room + (last - wall.room) * (1 - share);
      const truth = timeShown(wall, target, end);
      return truth === undefined ? [] : [{ truth, dwell: dwellTo(course, target, { draws: 400 }) }];
    });

  test.each([
    ["a seventh", 1 / 7, 2.2],
    ["a third", 1 / 3, 6],
  ])(
    "%s further down the way to the room: the range holds the time in 95 %, less 3 binomial sd",
    (_what, share, most) => {
      const rows = forecasts(share);
      const held = rows.filter(({ dwell, truth }) => holds(dwell, truth)).length;
      expect(rows.length).toBeGreaterThan(60);
      expect(held / rows.length).toBeGreaterThan(0.95 - 3 * Math.sqrt((0.95 * 0.05) / rows.length));
      const ratios = rows.map(({ dwell }) => (dwell.upper ?? Number.POSITIVE_INFINITY) / dwell.lower!);
      expect(ratios.sort((a, b) => a - b)[ratios.length >> 1]!).toBeLessThan(most);
    },
  );

  test("what was reached later is never said to be out of reach", () => {
    for (const { dwell } of [...forecasts(1 / 7), ...forecasts(1 / 3)]) expect(dwell.reach).not.toBe("never");
  });
});
