import { describe, expect, test } from "vitest";
import { buildOutcomeModel } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import type { Coupon } from "../../lib/study/index.js";
import { findWindow, proposeNext } from "../../lib/window/index.js";
import { loggedCoupon } from "../rigs/closed-loop.js";
import { cleanShop, driftingShop, runShopCoupon, type ShopHabits } from "../rigs/shop.js";
import { tigWearRing as rig } from "../rigs/tig-wear-ring.js";

const { definition } = rig;
/** Near the best setting of the rig, and settings about it. */
const centre = proposeNext(buildOutcomeModel({ definition, coupons: [] }), { coupons: 1 }).best.settings;

/** Coupons about a good setting, the first of each day a control at it. */
function days(habits: ShopHabits, count: number, seed: number): readonly Coupon[] {
  const stream = randomStream(seed).split("days");
  return Array.from({ length: count }, (_, day) => {
    const weather = stream.normal();
    const shifts = [stream.normal(), stream.normal()];
    return Array.from({ length: 5 }, (_, i) => {
      const settings = Object.fromEntries(
        centre.map(({ factor, value }) => [
          factor,
          i === 0 ? value : Number((Number(value) * Math.exp(0.06 * stream.normal())).toPrecision(4)),
        ]),
      );
      const run = { rig, habits, settings, day: { weather, shifts }, place: i / 4 - 0.5, stream };
      // Only what gave dimensions tells days apart; the rest would make the studies differ by luck.
      let found = runShopCoupon(run);
      for (let again = 0; again < 40 && Object.values(found.outcome.passed).includes(false); again++)
        found = runShopCoupon(run);
      return loggedCoupon(day * 5 + i, settings, found.outcome, day + 1);
    });
  }).flat();
}

const daysFinding = (coupons: readonly Coupon[]) =>
  proposeNext(buildOutcomeModel({ definition, coupons }), { coupons: 2 }).findings.find(
    ({ code }) => code === "days-open",
  );

describe("days", { timeout: 60_000 }, () => {
  test("that shift cost chance, and a control is asked for until it has told by how much", () => {
    const found = daysFinding(days(driftingShop, 3, 4))!;
    expect(found.message).toMatch(/as far as 3 days tell them, cost \d+ % of the chance/);
    expect(found.advice).toContain("next --control");
    expect(daysFinding(days(driftingShop, 7, 4))).toBeUndefined();
    expect(
      findWindow(buildOutcomeModel({ definition, coupons: days(driftingShop, 3, 4) })).findings.some(
        ({ code }) => code === "days-open",
      ),
    ).toBe(true);
  });

  test("that shift by 6 % are told from days that do not, and counted in the claim for another day", () => {
    const sdOf = (habits: ShopHabits, seed: number): number =>
      buildOutcomeModel({ definition, coupons: days(habits, 6, seed) }).posteriors[0]!.blockSd;
    const seeds = [1, 2, 3, 4, 5, 6];
    const mean = (values: readonly number[]): number =>
      values.reduce((sum, value) => sum + value, 0) / values.length;
    const [steady, shifting] = [cleanShop, driftingShop].map((habits) =>
      mean(seeds.map((s) => sdOf(habits, s))),
    );
    expect(shifting).toBeGreaterThan(0.04);
    expect(shifting).toBeLessThan(0.085);
    expect(steady).toBeLessThan(0.03);
  });

  test("a trend that every day shares is found", () => {
    const trends = [1, 2, 3, 4, 5, 6].map(
      (seed) =>
        buildOutcomeModel({ definition, coupons: days({ ...driftingShop, dayShift: 0 }, 6, seed) })
          .posteriors[0]!.trend,
    );
    const within = trends.filter(({ estimate, sd }) => Math.abs(estimate - 0.05) < 2.5 * sd);
    expect(within.length).toBeGreaterThanOrEqual(5);
    expect(trends.every(({ estimate }) => estimate > 0.005)).toBe(true);
  });

  test("the control repeats the sound coupon that was run on most days, first of the batch", () => {
    const coupons = days(cleanShop, 3, 2);
    const model = buildOutcomeModel({ definition, coupons });
    expect(model.control).toMatchObject({ settings: coupons[0]!.settings, coupon: "C11", blocks: 3 });
    const { proposals } = proposeNext(model, { coupons: 3, control: true });
    expect(proposals).toHaveLength(3);
    expect(proposals[0]!.role).toBe("control");
    expect(Object.fromEntries(proposals[0]!.settings.map(({ factor, value }) => [factor, value]))).toEqual(
      coupons[0]!.settings,
    );
    expect(proposals[0]!.why).toContain("C11");
  });

  test("without a sound coupon there is no control", () => {
    const model = buildOutcomeModel({ definition, coupons: [] });
    expect(model.control).toBeUndefined();
    expect(() => proposeNext(model, { coupons: 2, control: true })).toThrow(/there is none yet/);
  });
});
