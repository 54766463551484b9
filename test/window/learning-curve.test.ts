import { describe, expect, test } from "vitest";
import { buildOutcomeModel, outcomeData } from "../../lib/models/index.js";
import { createDemoStudy } from "../../lib/study/index.js";
import { expectedGains, learningCurve, proposeNext, recommendPreset } from "../../lib/window/index.js";

const demo = createDemoStudy();
const run = demo.coupons.filter(({ state }) => state === "logged");
const modelOf = (n: number) =>
  buildOutcomeModel(outcomeData({ definition: demo.definition, coupons: run.slice(0, n) }));

describe("learningCurve", () => {
  const curve = learningCurve(demo, { at: [39, 0, 12] });

  test("claims what a preset of the study cut short claims", () => {
    expect(curve.steps.map(({ coupons }) => coupons)).toEqual([0, 12, 39]);
    for (const { coupons, chance, interval, best } of curve.steps) {
      const then = recommendPreset(modelOf(coupons));
      expect(chance).toBe(then.conformance.chance);
      expect(interval).toEqual(then.conformance.interval);
      expect(best).toEqual(then.settings);
    }
  });

  test("gains add up to the rise, name their coupons and leave no coupon out", () => {
    const [first, second] = curve.batches;
    expect([first!.from, first!.to, first!.coupons]).toEqual([run[0]!.id, run[11]!.id, 12]);
    expect([second!.from, second!.to, second!.coupons]).toEqual([run[12]!.id, run[38]!.id, 27]);
    const rise = curve.steps[2]!.chance - curve.steps[0]!.chance;
    expect(first!.gained + second!.gained).toBeCloseTo(rise, 12);
    for (const { expected } of curve.batches) expect(expected).toBeGreaterThanOrEqual(0);
  });

  test("what is run later, and in which order the record lists coupons, changes nothing before", () => {
    const shuffled = { definition: demo.definition, coupons: [...demo.coupons].reverse() };
    expect(learningCurve(shuffled, { at: [0, 12] }).steps).toEqual(curve.steps.slice(0, 2));
  });

  test("more coupons than were run are refused", () => {
    expect(() => learningCurve(demo, { at: [40] })).toThrow(
      "number of coupons 40: the study has 39 that were run",
    );
    expect(() => learningCurve(demo, { at: [1.5] })).toThrow("whole number");
    expect(() => learningCurve(demo, { at: [] })).toThrow("at least one");
  });

  test("a study without a coupon has one step", () => {
    const { steps, batches } = learningCurve({ definition: demo.definition, coupons: [] });
    expect(steps).toHaveLength(1);
    expect(steps[0]!.last).toBeUndefined();
    expect(batches).toEqual([]);
  });
});

test("expectedGains are those that proposals are told with", () => {
  const model = modelOf(39);
  const { proposals } = proposeNext(model, { coupons: 3 });
  const { alone } = expectedGains(
    model,
    proposals.map(({ settings }) => Object.fromEntries(settings.map(({ factor, value }) => [factor, value]))),
  );
  // Both compare candidates taken from the whole search; the proposals stand among them here twice.
  proposals.forEach(({ expectedGain }, i) => {
    expect(Math.abs(alone[i]! - expectedGain)).toBeLessThan(5e-4);
  });
});
