import { expect, test } from "vitest";
import { compareStudies } from "../../../lib/models/index.js";
import type { StudyData } from "../../../lib/study/index.js";
import { convert } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const study = (seed: number, parts = {}, count = 20): StudyData => ({
  definition: tigDefinition(parts),
  coupons: simulatedBeads(seed, count, 0.02),
});

test("a study held against itself shows no difference, whatever the study", () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
      const one = study(seed);
      const { facts, results, effects, findings, refused } = compareStudies(one, one);
      expect(facts.filter(({ same }) => !same)).toEqual([]);
      expect(refused).toEqual([]);
      expect(results!.shifts).toHaveLength(2);
      for (const { relative, verdict } of results!.shifts) {
        expect(Math.abs(relative!.difference)).toBeLessThan(1e-9);
        expect(["alike", "unsettled"]).toContain(verdict);
      }
      expect(effects).toHaveLength(6);
      for (const { difference, differs } of effects)
        expect([Math.abs(difference) < 1e-9, differs]).toEqual([true, false]);
      expect(findings.map(({ code }) => code)).toContain("same-coupons");
    }),
    { numRuns: 10 },
  );
});

test("swapping two studies turns differences round", () => {
  const [one, other] = [study(1), study(2)];
  const there = compareStudies(one, other, { names: ["one", "other"] });
  const back = compareStudies(other, one, { names: ["other", "one"] });
  expect(there.effects).toHaveLength(6);
  there.effects.forEach(({ difference, p }, i) => {
    expectDigits(back.effects[i]!.difference, -difference, 9);
    expectDigits(back.effects[i]!.p, p, 9);
  });
  there.results!.shifts.forEach(({ relative }, i) => {
    expectDigits(
      Math.log1p(back.results!.shifts[i]!.relative!.difference),
      -Math.log1p(relative!.difference),
      7,
    );
  });
});

test("the same coupons written in other units are the same study", () => {
  const one = study(3);
  const inches = tigDefinition({
    factors: [
      { name: "current", unit: "A", low: 100, high: 200 },
      {
        name: "travel_speed",
        unit: "in/min",
        low: convert(100, "mm/min", "in/min"),
        high: convert(300, "mm/min", "in/min"),
      },
      {
        name: "wire_feed_speed",
        unit: "mm/s",
        low: convert(0.6, "m/min", "mm/s"),
        high: convert(2, "m/min", "mm/s"),
      },
    ],
    responses: [
      {
        name: "bead_width",
        unit: "in",
        spec: { lower: convert(5, "mm", "in"), upper: convert(7, "mm", "in") },
      },
      { name: "sound_bead", kind: "passFail" },
    ],
  });
  const coupons = one.coupons.map((coupon) => ({
    ...coupon,
    settings: {
      current: coupon.settings.current!,
      travel_speed: convert(Number(coupon.settings.travel_speed), "mm/min", "in/min"),
      wire_feed_speed: convert(Number(coupon.settings.wire_feed_speed), "m/min", "mm/s"),
    },
    results: {
      bead_width: { kind: "measured" as const, value: convert(sizeOf(coupon, "bead_width"), "mm", "in") },
      sound_bead: coupon.results.sound_bead!,
    },
  }));
  const { facts, results, effects, left } = compareStudies(one, { definition: inches, coupons });
  expect(facts.filter(({ same }) => !same).map(({ what }) => what)).toEqual(["bead height"]);
  expect(Math.abs(results!.shifts[0]!.relative!.difference)).toBeLessThan(1e-9);
  for (const { difference } of effects) expect(Math.abs(difference)).toBeLessThan(1e-9);
  expect(left.map(({ response }) => response)).toEqual(["bead_height"]);
});

test("a true difference between studies, and between what settings do, is found", () => {
  const one = study(4, {}, 30);
  const other = study(5, {}, 30);
  const wider: StudyData = {
    definition: other.definition,
    coupons: other.coupons.map((coupon) => ({
      ...coupon,
      results: {
        ...coupon.results,
        bead_width: {
          kind: "measured",
          value: sizeOf(coupon, "bead_width") * 1.08 * (Number(coupon.settings.current) / 140) ** 0.4,
        },
      },
    })),
  };
  const { results, effects, findings } = compareStudies(one, wider, { names: ["old", "new"] });
  const width = results!.shifts.find(({ response }) => response === "bead_width")!;
  expect(width.relative!.lower).toBeGreaterThan(0);
  const current = effects.find(
    ({ response, setting }) => response === "bead_width" && setting === "current",
  )!;
  expect(current.differs).toBe(true);
  expect(current.lower).toBeLessThan(0.4);
  expect(current.upper).toBeGreaterThan(0.4);
  expect(effects.filter(({ differs }) => differs)).toHaveLength(1);
  expect(findings.map(({ code }) => code)).toContain("effects-differ");
});

test("what does not compare is refused with the reason, and the rest is told", () => {
  const one = study(6);
  const codes = (other: StudyData) => compareStudies(one, other, { names: ["old", "new"] });
  const mag = codes({ ...one, definition: { ...one.definition, process: "135" } });
  expect(mag.refused).toEqual([expect.stringMatching(/old is process 141, new process 135/)]);
  expect(mag.results).toBeUndefined();
  expect(mag.effects).toEqual([]);
  expect(mag.facts.find(({ what }) => what === "process")).toMatchObject({ a: "141", b: "135", same: false });

  const far = codes({
    ...one,
    coupons: one.coupons.map((coupon) => ({
      ...coupon,
      settings: { ...coupon.settings, current: Number(coupon.settings.current) + 150 },
    })),
  });
  expect(far.refused).toEqual([
    expect.stringMatching(/current was run at .* A in old and at .* A in new: no value in common/),
  ]);
  expect(far.effects.length).toBeGreaterThan(0);

  const fewer = (rig: object): StudyData => ({
    definition: tigDefinition({
      factors: one.definition.factors.filter(({ name }) => name !== "wire_feed_speed"),
      rig,
    }),
    coupons: one.coupons.map((coupon) => {
      const { wire_feed_speed: _, ...settings } = coupon.settings;
      return { ...coupon, settings };
    }),
  });
  expect(codes(fewer({ settings: {} })).refused).toEqual([
    expect.stringMatching(
      /old varied wire feed speed, and new does not say what it was: write it under rig.settings/,
    ),
  ]);
  expect(codes(fewer({ settings: { wire_feed_speed: "1.2 m/min" } })).refused).toEqual([]);

  const empty = codes({ ...one, coupons: [] });
  expect(empty.results!.shifts).toEqual([]);
  expect(empty.results!.left.map(({ reason }) => reason)).toContainEqual(
    expect.stringMatching(/no coupon of new has a value/),
  );
});
