import { describe, expect, test } from "vitest";
import { type CoolingReading, coolingCourse, coolingSlips } from "../../../lib/models/decay/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { fc } from "../../support/properties.js";
import { cooledWall } from "./walls.js";

/** Walls by finite differences, whose law the check does not know; early readings still warm up on many of them. */
const walls = (count: number, keep: (k: number) => boolean): readonly (readonly CoolingReading[])[] =>
  Array.from({ length: count }, (_, i) =>
    cooledWall(randomStream(500 + i), { duration: 120, every: 2 }).readings.filter(({ time }) =>
      keep(time / 2),
    ),
  ).filter((readings) => readings.length >= 8);

const samplings: readonly (readonly [string, (k: number) => boolean])[] = [
  ["every 2 s", () => true],
  ["by and by slower", (k) => [1, 2, 5, 10, 15, 22, 30, 45, 60].includes(k)],
  ["every 10 s", (k) => k % 5 === 0],
];

const altered = (readings: readonly CoolingReading[], at: number, temperature: number): CoolingReading[] =>
  readings.map((reading, i) => (i === at ? { ...reading, temperature } : reading));

describe("coolingSlips", () => {
  test.each(samplings)("calls at most one good wall in a hundred mistyped: readings %s", (_name, keep) => {
    const good = walls(120, keep);
    const accused = good.filter((readings) => coolingSlips(readings).length > 0);
    expect(accused.length).toBeLessThanOrEqual(good.length / 100);
  });

  test.each(samplings)("finds degF for degC and decimal marks inside a fall: readings %s", (_name, keep) => {
    const slips: readonly ((t: number) => number)[] = [(t) => 1.8 * t + 32, (t) => 10 * t, (t) => t / 10];
    let [tried, found, meant, wrong] = [0, 0, 0, 0];
    for (const [n, readings] of walls(60, keep).entries()) {
      const at = 3 + (n % (readings.length - 5));
      const truth = Math.round(readings[at]!.temperature);
      const got = coolingSlips(altered(readings, at, slips[n % 3]!(truth)));
      tried++;
      if (got.some(({ index }) => index === at)) found++;
      if (got.some(({ index }) => index !== at)) wrong++;
      if (got.some((slip) => Math.abs((slip.meant?.value ?? 0) - truth) < 1)) meant++;
    }
    expect(tried).toBeGreaterThan(30);
    expect(found / tried).toBeGreaterThan(0.9);
    expect(meant / tried).toBeGreaterThan(0.8);
    expect(wrong).toBe(0);
  });

  test("never calls heat that arrives a slip: the first readings may rise to a peak as they like", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 0.9, noNaN: true }),
        fc.double({ min: 0.5, max: 20, noNaN: true }),
        (share, delay) => {
          const readings = [0, 2, 5, 10, 15, 20, 30, 45, 60, 90].map((time) => ({
            time,
            temperature: 20 + 600 * Math.exp(-time / 60) * (1 - share * Math.exp(-time / delay)),
          }));
          expect(coolingSlips(readings)).toEqual([]);
        },
      ),
    );
  });

  test("reads digits in the unit they were typed in", () => {
    // 20 + 600 exp(-t/60) degC, typed in degF; at 30 s 383.9 degC = 723 degF, typed 273.
    const good = [5, 10, 20, 30, 45, 60, 90].map((time) => ({
      time,
      temperature: 20 + 600 * Math.exp(-time / 60),
    }));
    const bad = altered(good, 3, (273 - 32) / 1.8);
    expect(coolingSlips(bad, { unit: "degF" })[0]).toMatchObject({
      index: 3,
      meant: { how: "two digits were swapped" },
    });
  });

  test("leaves a log that jumps about alone", () => {
    const random = randomStream(2);
    const wild = Array.from({ length: 12 }, (_, i) => ({
      time: 5 * i,
      temperature: 100 + 300 * random.uniform(),
    }));
    expect(coolingSlips(wild)).toEqual([]);
  });
});

test("coolingCourse leaves slips out by itself and names them; who has looked for them keeps all", () => {
  const readings = walls(3, (k) => k % 5 === 0)[0]!.map(({ time, temperature }) => ({
    time,
    temperature: Math.round(temperature),
  }));
  const at = Math.floor(readings.length / 2);
  const typed = altered(readings, at, readings[at]!.temperature / 10);
  const course = coolingCourse(typed);
  if (course.status !== "cooling") throw new Error("the wall cools");
  expect(course.slips.map(({ index }) => index)).toEqual([at]);
  expect(course.findings[0]!.code).toBe("mistyped-reading");
  const clean = coolingCourse(readings.filter((_, i) => i !== at));
  if (clean.status !== "cooling") throw new Error("the wall cools");
  expect(course.floor).toEqual(clean.floor);
  const kept = coolingCourse(typed, { slips: "kept" });
  expect(kept.status === "cooling" ? kept.slips : []).toEqual([]);
});
