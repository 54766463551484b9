import { describe, expect, test } from "vitest";
import { buildOutcomeModel, type OutcomeModel } from "../../lib/models/index.js";
import { parseStudyDefinition, resultOf } from "../../lib/study/index.js";
import { conformance, conformanceChances } from "../../lib/window/index.js";
import { tigThinSheet } from "../rigs/tig-thin-sheet.js";
import { tigWearRing as rig } from "../rigs/tig-wear-ring.js";
import { fc } from "../support/properties.js";
import { coupon, results } from "../support/studies.js";
import { loopCoupons, withSpecs } from "./studies.js";

const coupons = loopCoupons(rig, 18, 1);
const model = buildOutcomeModel({ definition: rig.definition, coupons });
/** From nothing logged, over a few coupons and failures alone, to a study well under way. */
const studies = [
  model,
  buildOutcomeModel({ definition: rig.definition, coupons: [] }),
  buildOutcomeModel({ definition: rig.definition, coupons: coupons.slice(0, 6) }),
  buildOutcomeModel({
    definition: rig.definition,
    coupons: coupons
      .slice(0, 4)
      .map(({ id, settings }) => coupon(id, { settings, passed: { sound: false } })),
  }),
];
const anySetting = fc.record({
  current: fc.double({ min: 60, max: 220, noNaN: true }),
  travel_speed: fc.double({ min: 50, max: 400, noNaN: true }),
  wire_feed_speed: fc.double({ min: 0.4, max: 3, noNaN: true }),
  standoff: fc.double({ min: 1.5, max: 6, noNaN: true }),
});
const near = { current: 125, travel_speed: 150, wire_feed_speed: 1.45, standoff: 3 };
const at = (of: OutcomeModel, settings: Readonly<Record<string, number>>) => conformance(of, [settings])[0]!;

describe("conformance", { timeout: 30_000 }, () => {
  test("stays between 0 and 1, never above its weakest part, and inside its own doubt", () => {
    fc.assert(
      fc.property(
        fc.nat({ max: studies.length - 1 }),
        fc.oneof(anySetting, fc.constant(near)),
        (study, settings) => {
          const found = at(studies[study]!, settings);
          const parts = [...Object.values(found.perResponse), ...Object.values(found.perCheck)];
          expect(found.chance).toBeGreaterThanOrEqual(0);
          expect(found.chance).toBeLessThanOrEqual(Math.min(1, ...parts) + 0.02);
          expect(found.interval[0]).toBeGreaterThanOrEqual(0);
          expect(found.interval[0]).toBeLessThanOrEqual(found.chance);
          expect(found.interval[1]).toBeGreaterThanOrEqual(found.chance);
          expect(found.interval[1]).toBeLessThanOrEqual(1);
        },
      ),
      { numRuns: 200, seed: 4 },
    );
  });

  test("a model survives JSON, and the same model answers the same", () => {
    const copy = JSON.parse(JSON.stringify(model)) as OutcomeModel;
    expect(conformance(copy, [near])).toEqual(conformance(model, [near]));
    expect(buildOutcomeModel({ definition: rig.definition, coupons })).toEqual(model);
  });

  test("giving up early on hopeless settings changes no chance worth telling", () => {
    const loose = {
      ...rig.definition,
      factors: rig.definition.factors.map((factor) => ({ ...factor, settingSd: 2 * factor.step! })),
    };
    for (const of of [model, buildOutcomeModel({ definition: loose, coupons })]) {
      fc.assert(
        fc.property(fc.oneof(anySetting, fc.constant(near)), (settings) => {
          const [quick] = conformanceChances(of, [settings]);
          const { chance } = at(of, settings);
          if (chance >= 1e-3 || quick! >= 1e-3) expect(Math.abs(quick! - chance)).toBeLessThan(1e-12);
        }),
        { numRuns: 60 },
      );
    }
  });

  test("wider specifications never lower the chance", () => {
    const wide = withSpecs(rig.definition, {
      bead_width: { lower: 4.5, upper: 6.5 },
      bead_height: { lower: 1.5, upper: 2.4 },
    });
    const chances = (definition: typeof wide) =>
      conformanceChances({ ...model, definition }, [
        near,
        { ...near, current: 140 },
        { ...near, standoff: 5 },
      ]);
    const narrow = chances(rig.definition);
    chances(wide).forEach((chance, i) => {
      expect(chance).toBeGreaterThanOrEqual(narrow[i]! - 1e-9);
    });
  });

  test("a rig that holds its settings loosely has a lower chance at a good setting", () => {
    const loose = {
      ...rig.definition,
      factors: rig.definition.factors.map((factor) =>
        factor.name === "wire_feed_speed" ? { ...factor, settingSd: 0.15 } : factor,
      ),
    };
    const best = [...coupons].sort(
      (a, b) => at(model, b.settings as never).chance - at(model, a.settings as never).chance,
    )[0]!.settings as Record<string, number>;
    const tight = at(model, best);
    const slack = at(buildOutcomeModel({ definition: loose, coupons }), best);
    expect(slack.dimensions).toBeLessThan(tight.dimensions - 0.03);
    expect(slack.perCheck.sound!).toBeLessThanOrEqual(tight.perCheck.sound! + 0.02);
  });

  test("answers from no coupon at all, and from failures alone lowers the chance around them", () => {
    const empty = buildOutcomeModel({ definition: rig.definition, coupons: [] });
    const before = at(empty, near);
    expect(before.chance).toBeGreaterThan(0.001);
    const failures = [0, 1, 2, 3].map((i) =>
      coupon(`F${i}`, { settings: { ...near, current: 120 + 4 * i }, passed: { sound: false } }),
    );
    const after = at(buildOutcomeModel({ definition: rig.definition, coupons: failures }), near);
    expect(after.perCheck.sound!).toBeLessThan(0.5 * before.perCheck.sound!);
  });

  test("a height of 0 or below is left out by name and leaves the rest as it was", () => {
    const good = coupon("G1", { settings: near, measured: { bead_width: 5.4, bead_height: 1.9 } });
    const odd = coupon("G2", { settings: near, measured: { bead_width: 5.5, bead_height: -1.2 } });
    const without = { ...odd, results: results({ measured: { bead_width: 5.5 } }) };
    const found = buildOutcomeModel({ definition: rig.definition, coupons: [good, odd] });
    expect(found.findings.find(({ code }) => code === "impossible-readings")?.message).toMatch(
      /G2 \(bead_height -1.2\)/,
    );
    expect(at(found, near)).toEqual(
      at(buildOutcomeModel({ definition: rig.definition, coupons: [good, without] }), near),
    );
  });

  test("a voltage logged beside the coupons tells the physics as much as one in the definition", () => {
    const read = [13.8, 14, 14.3].map((value, i) =>
      coupon(`V${i}`, {
        settings: near,
        context: { arc_voltage: { value, unit: "V" } },
        passed: { sound: true },
      }),
    );
    const bare = read.map((one) => ({ ...one, context: {} }));
    const stated = { ...rig.definition, rig: { settings: { arc_voltage: { value: 14, unit: "V" } } } };
    const { rig: _, ...unstated } = rig.definition;
    const found = at(buildOutcomeModel({ definition: unstated, coupons: read }), near);
    expect(found).toEqual(at(buildOutcomeModel({ definition: stated, coupons: bare }), near));
    expect(found).not.toEqual(at(buildOutcomeModel({ definition: unstated, coupons: bare }), near));
  });

  test("blank coupons count as failed, and the model says so", () => {
    const blank = coupon("B1", { settings: near });
    const found = buildOutcomeModel({ definition: rig.definition, coupons: [blank] });
    expect(found.findings.map(({ code }) => code)).toContain("blank-coupons-failed");
    expect(at(found, near).perCheck.measurable).toBeLessThan(0.7);
    expect(
      buildOutcomeModel({ definition: rig.definition, coupons: [{ ...blank, state: "planned" }] }).coupons,
    ).toBe(0);
  });

  test("works with checks alone, and with measurements alone", () => {
    const of = (kind: string) => ({
      ...rig.definition,
      responses: rig.definition.responses.filter(
        (response) => (response.kind === "passFail") === (kind === "checks"),
      ),
    });
    const checks = at(buildOutcomeModel({ definition: of("checks"), coupons }), near);
    expect(checks.dimensions).toBe(1);
    expect(Math.abs(checks.chance - checks.perCheck.sound!)).toBeLessThan(1e-12);
    const measured = at(
      buildOutcomeModel({
        definition: of("measured"),
        coupons: coupons.filter((c) => {
          const result = resultOf(c, "sound");
          return result?.kind === "passFail" && result.passed;
        }),
      }),
      near,
    );
    expect(measured.perCheck).toEqual({});
    expect(Math.abs(measured.chance - measured.dimensions)).toBeLessThan(1e-12);
  });

  test("works on settings the physics does not know", () => {
    const definition = parseStudyDefinition({
      schema: "beadbench/study/1",
      name: "odd names",
      process: "141",
      wire: { classification: "own mix", diameter: "1 mm" },
      factors: [
        { name: "knob_one", unit: "1", low: 0, high: 10 },
        { name: "mode", kind: "category", levels: ["pulsed", "steady"] },
      ],
      responses: [
        { name: "gloss", unit: "1", spec: { lower: -1, upper: 1 } },
        { name: "clean", kind: "passFail" },
      ],
    });
    const rows = Array.from({ length: 16 }, (_, i) => {
      const knob = (10 * (i % 8)) / 7;
      const mode = i < 8 ? "pulsed" : "steady";
      return coupon(`K${i}`, {
        settings: { knob_one: knob, mode },
        measured: { gloss: 0.6 * (knob - 5) + (mode === "steady" ? 2 : 0) },
        passed: { clean: true },
      });
    });
    const odd = buildOutcomeModel({ definition, coupons: rows });
    expect(odd.findings.map(({ code }) => code)).toContain("no-physics");
    const [good, bad, steady] = conformance(odd, [
      { knob_one: 5, mode: "pulsed" },
      { knob_one: 9.5, mode: "pulsed" },
      { knob_one: 1.7, mode: "steady" },
    ]);
    expect(good!.chance).toBeGreaterThan(0.7);
    expect(bad!.chance).toBeLessThan(0.1);
    expect(steady!.chance).toBeGreaterThan(0.6);
  });

  test("two checks are judged apart", () => {
    const found = buildOutcomeModel({
      definition: tigThinSheet.definition,
      coupons: loopCoupons(tigThinSheet, 6, 2),
    });
    expect(
      Object.keys(
        at(found, { current: 86, arc_voltage: 10.8, travel_speed: 2.6, wire_feed_speed: 21 }).perCheck,
      ),
    ).toEqual(["no_burn_through", "no_stubbing"]);
  });
});
