import { describe, expect, test } from "vitest";
import { correctionCommand, gate, gateText } from "../../../lib/models/gate/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { convert, parseQuantity } from "../../../lib/units/index.js";
import { fc } from "../../support/properties.js";
import { coupon, shows, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const told = (coupons: readonly Coupon[], ...ids: readonly string[]) => gate({ definition, coupons }, ids);
const settings = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };

describe("what is odd about coupons just logged", () => {
  test("is nothing, for beads of a rig that obeys the balance of wire", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 10_000 }), (seed) => {
        const beads = simulatedBeads(seed, 12, 0.04);
        expect(told(beads, ...beads.map(({ id }) => id))).toEqual([]);
      }),
      { numRuns: 40 },
    );
  });

  test("is told of every size slipped tenfold or typed in inches, and of that coupon alone", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 10_000 }),
        fc.nat(11),
        fc.constantFrom(10, 0.1, 25.4, 1 / 25.4),
        (seed, at, times) => {
          const beads = simulatedBeads(seed, 12, 0.04);
          const { id } = beads[at]!;
          const slipped = beads.map((bead) =>
            bead.id === id
              ? shows(bead, { measured: { bead_height: times * sizeOf(bead, "bead_height") } })
              : bead,
          );
          const warnings = told(slipped, id);
          expect(warnings.map(({ column }) => column)).toContain("bead_height");
          expect(warnings.every((warning) => warning.coupon === id)).toBe(true);
        },
      ),
      { numRuns: 60 },
    );
  });

  test("a current with its point misplaced is given back as it was meant", () => {
    fc.assert(
      fc.property(fc.integer({ min: 100, max: 200 }), fc.constantFrom(10, 0.1), (current, times) => {
        const typed = { ...settings, current: Number((current * times).toFixed(1)) };
        const [warning, ...more] = told([coupon("C1", { settings: typed })], "C1");
        expect(more).toEqual([]);
        expect(warning).toMatchObject({ coupon: "C1", column: "current", instead: `${current} A` });
      }),
    );
  });

  test("a speed typed in another unit is told with a unit that brings it into the study's range", () => {
    const units: readonly (readonly [string, number])[] = [
      ["mm/s", 1],
      ["cm/min", 6],
      ["in/min", 60 / 25.4],
      ["m/min", 60 / 1000],
    ];
    fc.assert(
      fc.property(
        fc.double({ min: 100, max: 300, noNaN: true }),
        fc.constantFrom(...units),
        (speed, [, factor]) => {
          const shown = (speed / 60) * factor;
          const typed = { ...settings, travel_speed: shown };
          const [warning] = told([coupon("C1", { settings: typed })], "C1");
          expect(warning?.column).toBe("travel_speed");
          const { value, unit } = parseQuantity(warning!.instead);
          const meant = convert(value, unit, "mm/min");
          // A setting may lie outside by 3 % of the range of 200 mm/min; settings print with four digits.
          expect(meant).toBeGreaterThanOrEqual(94 * 0.999);
          expect(meant).toBeLessThanOrEqual(306 * 1.001);
          // The number that was read stands; only its unit was wrong.
          expect(value / shown).toBeCloseTo(1, 3);
        },
      ),
    );
    const [inSeconds] = told([coupon("C1", { settings: { ...settings, travel_speed: 3 } })], "C1");
    expect(inSeconds).toMatchObject({ instead: "3 mm/s" });
    expect(inSeconds!.message).toContain("travel_speed 3 mm/min lies outside the study's 100 to 300 mm/min");
  });

  test("names a setting that no rig runs by the physics, with no guess where none would fit", () => {
    const [absurd, ...more] = told([coupon("C1", { settings: { ...settings, current: 70_000 } })], "C1");
    expect(more).toEqual([]);
    expect(absurd).toMatchObject({ column: "current", instead: "<value> A" });
    expect(absurd!.message).toMatch(/^current must be above 0 and at most 1500 A, got 70000 A; /);
    // What is a hair outside the range is how rigs run.
    expect(told([coupon("C1", { settings: { ...settings, current: 202 } })], "C1")).toEqual([]);
    expect(told([coupon("C1", { settings: { ...settings, current: 210 } })], "C1")).toHaveLength(1);
  });

  test("a bead of no height is no measurement; planned, voided and older coupons are passed over", () => {
    const none = coupon("C1", { settings, measured: { bead_width: 6, bead_height: 0 } });
    const [warning] = told([none], "C1");
    expect(warning).toMatchObject({ column: "bead_height", instead: "<value> mm" });
    expect(warning!.message).toContain("bead_height of 0 mm cannot be");
    expect(told([none], "C2")).toEqual([]);
    for (const state of ["planned", "voided"] as const) expect(told([{ ...none, state }], "C1")).toEqual([]);
  });

  test("of two repeats that disagree, the one unlike all others is to blame", () => {
    const width = (id: string, bead_width: number, current = 150) =>
      coupon(id, { settings: { current }, measured: { bead_width } });
    const others = [width("A", 5.6, 110), width("B", 6.1, 130), width("C", 6.6, 170)];
    const repeats = [width("D", 6.2), width("E", 62)];
    const warnings = told([...others, ...repeats], "D", "E");
    expect(warnings).toHaveLength(1);
    expect(warnings[0]).toMatchObject({ coupon: "E", column: "bead_width", instead: "6.2 mm" });
    expect(warnings[0]!.message).toContain("ten times too high");
  });
});

describe("gateText", () => {
  const slow = (count: number) => {
    const coupons = Array.from({ length: count }, (_, i) =>
      coupon(`C${i + 1}`, { settings: { ...settings, travel_speed: 2.5 + 0.1 * i } }),
    );
    return told(coupons, ...coupons.map(({ id }) => id));
  };

  test("gives each warning with the command that mends it, the study left to whoever tells it", () => {
    const lines = gateText(slow(3), 3);
    expect(lines).toHaveLength(3);
    expect(lines[0]).toMatch(/^Mind, C1: travel_speed 2\.5 mm\/min lies outside/);
    lines.forEach((line, i) => {
      const command = correctionCommand(`C${i + 1}`, ["travel_speed", `${2.5 + 0.1 * i} mm/s`]);
      expect(line.endsWith(`mend it with: ${command}`)).toBe(true);
    });
    expect(lines[1]).toContain(`beadbench log <study> C2 --correct travel_speed="2.6 mm/s" --why "mistyped"`);
    expect(gateText([])).toEqual([]);
  });

  test("tells many alike once, and blames the heading where most coupons are odd", () => {
    const most = gateText(slow(6), 8);
    expect(most).toHaveLength(2);
    expect(most[1]).toMatch(/and 5 other coupons alike: the heading of travel_speed may be in another unit$/);
    expect(gateText(slow(6), 40)[1]).toMatch(/and 5 other coupons alike$/);
  });
});
