import { describe, expect, test } from "vitest";
import { affordablePlan } from "../../../lib/design/plan/budget.js";
import type { PlanOptions } from "../../../lib/design/plan/plan-options.js";
import type { Plan } from "../../../lib/design/runs/index.js";
import { BeadbenchError } from "../../../lib/errors/index.js";

const options = {
  factors: [{ name: "a", unit: "1", low: 0, high: 1 }],
  couponEffort: { minutes: 1, gas: 0, wire: 0 },
  seed: 1,
} as unknown as PlanOptions;

/** What a budget of 100 minutes buys where so many coupons take so long, and the number of plans made to find out. */
function bought(minutes: (coupons: number) => number, fewest = 1) {
  let made = 0;
  const plan = affordablePlan(options, { minutes: 100 }, (_options, coupons) => {
    made++;
    if (coupons < fewest) throw new BeadbenchError("bad-argument", `takes ${fewest} coupons`);
    return {
      runs: Array.from({ length: coupons }),
      effort: { total: { minutes: minutes(coupons), gas: 0, wire: 0 } },
    } as unknown as Plan;
  });
  return { coupons: plan.runs.length, made };
}

describe("a plan within a budget", () => {
  const costs: readonly [name: string, minutes: (n: number) => number, coupons: number, fewest?: number][] = [
    ["a set-up and a minute each", (n) => 30 + n, 70],
    ["ever dearer", (n) => n ** 3 / 10_000, 100],
    ["ever cheaper, as by a fixed cost", (n) => 90 + n / 50, 500],
    ["a step", (n) => (n <= 333 ? 1 : 1000), 333],
    ["nothing to speak of", () => 1e-9, 1000],
    ["a design with a least number", (n) => 7 * n, 14, 14],
  ];
  test.each(costs)("%s: the largest that fits is found in few plans", (_name, minutes, coupons, fewest) => {
    const found = bought(minutes, fewest);
    expect(found.coupons).toBe(coupons);
    // Four by scale, and two searches of two plans for each doubling up to 1000.
    expect(found.made).toBeLessThanOrEqual(4 + 2 * 2 * 11);
  });

  test("a design that takes more than the budget pays for says how many it takes", () => {
    expect(() => bought((n) => 7 * n, 15)).toThrow(/the budget pays for about 14 coupons: takes 15 coupons/);
    expect(() => bought(() => 101)).toThrow(/pays for no coupon at all/);
  });
});
