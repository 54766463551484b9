import { describe, expect, test } from "vitest";
import { planCoupons } from "../../lib/design/index.js";
import { BeadbenchError, requireCount } from "../../lib/errors/index.js";
import { buildOutcomeModel } from "../../lib/models/index.js";
import { sobolPoints } from "../../lib/numeric/index.js";
import { proposeNext } from "../../lib/window/index.js";
import { fc } from "../support/properties.js";
import { tigDefinition } from "../support/studies.js";

describe("requireCount", () => {
  test("gives whole numbers within the bounds back and refuses every other number", () => {
    fc.assert(
      fc.property(fc.oneof(fc.integer({ min: -5, max: 15 }), fc.double()), (value) => {
        const sound = Number.isSafeInteger(value) && value >= 1 && value <= 10;
        const read = (): number => requireCount("coupons", value, { min: 1, max: 10 });
        if (sound) expect(read()).toBe(value);
        else expect(read).toThrow(BeadbenchError);
      }),
    );
  });

  test("says what was expected and what was found", () => {
    expect(() => requireCount("coupons", 2.5, { min: 1, max: 200 })).toThrow(
      "coupons must be a whole number, at least 1 and at most 200, got 2.5",
    );
  });

  const factors = [
    { name: "current", unit: "A", low: 100, high: 150 },
    { name: "travel_speed", unit: "mm/s", low: 2, high: 4 },
  ];
  const model = buildOutcomeModel({ definition: tigDefinition(), coupons: [] }, { draws: 8 });
  test.each<[string, () => unknown]>([
    ["coupons to propose", () => proposeNext(model, { coupons: 2.5 })],
    ["coupons to confirm", () => proposeNext(model, { coupons: 2, confirm: 0.5 })],
    ["draws", () => buildOutcomeModel({ definition: tigDefinition(), coupons: [] }, { draws: 8.5 })],
    ["coupons to plan", () => planCoupons({ factors, coupons: 7.5, seed: 1 })],
    ["blocks", () => planCoupons({ factors, coupons: 8, blocks: 1.5, seed: 1 })],
    ["repeats at the centre", () => planCoupons({ factors, coupons: 8, centreRepeats: 0.5, seed: 1 })],
    ["points", () => sobolPoints(4.5, 2, 1)],
  ])("the library refuses half %s", (_, work) => {
    expect(work).toThrow(/must be a whole number/);
  });
});
