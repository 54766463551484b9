import { expect, test } from "vitest";
import { buildOutcomeModel, makePredictor } from "../../../lib/models/index.js";
import { verdictDoubt } from "../../../lib/models/outcome/verdict-doubt.js";
import { loggedCoupon } from "../../rigs/closed-loop.js";
import { tigWearRing as rig } from "../../rigs/tig-wear-ring.js";

const coupon = (sound: boolean, measured: boolean, checkedAgain: readonly string[] = []) => ({
  passed: new Map([["sound", sound]]),
  latents: new Map(measured ? [[0, 1.7]] : []),
  checkedAgain: new Set(checkedAgain),
});
const many = (count: number, one: ReturnType<typeof coupon>) => Array.from({ length: count }, () => one);

test("a pass with dimensions stands firm where only passes are measured, and one without is odd", () => {
  const doubt = verdictDoubt([...many(15, coupon(true, true)), ...many(20, coupon(false, false))], "sound");
  // Shares of passes and failures with dimensions: (4 + 15) / 20 and 1 / 22.5.
  expect(doubt(coupon(true, true))).toBeCloseTo(Math.max(0.05, 1 / 22.5 / 0.95), 12);
  expect(doubt(coupon(true, false))).toBe(8);
  expect(doubt(coupon(false, true))).toBe(8);
  expect(doubt(coupon(false, false))).toBeCloseTo(0.05 / (1 - 1 / 22.5), 12);
});

test("where failures are measured as well, dimensions say nothing of a verdict", () => {
  const doubt = verdictDoubt([...many(40, coupon(true, true)), ...many(40, coupon(false, true))], "sound");
  expect(doubt(coupon(true, true))).toBeGreaterThan(0.9);
  expect(doubt(coupon(true, true))).toBeLessThan(1.1);
});

test("a log without dimensions, and a check nobody judged, leave the doubt as it is", () => {
  expect(verdictDoubt(many(9, coupon(true, false)), "sound")(coupon(true, false))).toBe(1);
  expect(verdictDoubt([], "clean")(coupon(true, true))).toBe(1);
});

test("a second look settles most of it", () => {
  const doubt = verdictDoubt([...many(15, coupon(true, true)), ...many(20, coupon(false, false))], "sound");
  expect(doubt(coupon(true, false, ["sound"]))).toBeLessThan(doubt(coupon(true, false)) / 10);
});

test("one pass among failures opens the region about it further when it was measured", () => {
  const { definition } = rig;
  const at = (share: number) =>
    Object.fromEntries(definition.factors.map(({ name, low, high }) => [name, low + (high - low) * share]));
  const failures = [0.05, 0.15, 0.85, 0.95].map((share, i) =>
    loggedCoupon(
      i,
      at(share),
      { passed: Object.fromEntries(checks.map((c) => [c, false])), measured: {} },
      1,
    ),
  );
  const passing = (measured: Readonly<Record<string, number>>) => [
    ...failures,
    loggedCoupon(4, at(0.5), { passed: Object.fromEntries(checks.map((c) => [c, true])), measured }, 1),
  ];
  const passes = (measured: Readonly<Record<string, number>>): number => {
    const predictor = makePredictor(buildOutcomeModel({ definition, coupons: passing(measured) }));
    return predictor.at(predictor.point(at(0.5))).pass(0);
  };
  expect(passes({ bead_width: 6, bead_height: 2 })).toBeGreaterThan(passes({}) + 0.02);
});

const checks = rig.definition.responses.flatMap(({ name, kind }) => (kind === "passFail" ? [name] : []));
