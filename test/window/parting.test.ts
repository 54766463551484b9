import { describe, expect, test } from "vitest";
import { planCoupons } from "../../lib/design/index.js";
import { buildOutcomeModel, confounding } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import type { Coupon } from "../../lib/study/index.js";
import { type Aim, paidFor, proposeNext } from "../../lib/window/index.js";
import { loggedCoupon } from "../rigs/closed-loop.js";
import { expectDigits } from "../support/digits.js";
import { tigDefinition } from "../support/studies.js";

const tidy = (value: number, step: number): number =>
  Number((Math.round(value / step) * step).toPrecision(9));

/** Coupons of a rig whose feed was always the same share of its travel speed; width by a law of its own. */
function ridge(count: number, ratio = (_: number) => 0.0055): readonly Coupon[] {
  const stream = randomStream(11);
  return Array.from({ length: count }, (_, i) => {
    const travel = 110 + ((i * 37) % 180);
    const current = 110 + ((i * 53) % 80);
    const settings = { current, travel_speed: travel, wire_feed_speed: tidy(travel * ratio(i), 0.01) };
    const width = 2 + 0.09 * current ** 0.9 * (150 / travel) ** 0.4 * Math.exp(0.03 * stream.normal());
    const height = (1.9 * 2.6) / width;
    return loggedCoupon(
      i,
      settings,
      { passed: { sound_bead: true }, measured: { bead_width: width, bead_height: height } },
      1,
    );
  });
}

const definition = tigDefinition();
const ratioOf = (
  settings: readonly { readonly factor: string; readonly value: number | string }[],
): number => {
  const of = (name: string) => Number(settings.find(({ factor }) => factor === name)!.value);
  return of("wire_feed_speed") / of("travel_speed");
};
const inflationWith = (
  coupons: readonly Coupon[],
  added: readonly Readonly<Record<string, number | string>>[],
) =>
  Math.max(
    ...confounding({
      definition,
      coupons: [
        ...coupons,
        ...added.map((settings, i) => loggedCoupon(50 + i, settings, { passed: {}, measured: {} }, 1)),
      ],
    }).inflation.map(({ inflation }) => inflation),
  );

describe("on a ridge where feed and travel moved together", { timeout: 60_000 }, () => {
  const logged = ridge(14);
  const model = buildOutcomeModel({ definition, coupons: logged });
  const propose = (aim: Aim, coupons = 4, from = logged) =>
    proposeNext(model, { coupons, aim, logged: from });

  test("next --aim explore leaves it and says what it parts; without the coupons it stays on it", () => {
    const { proposals } = propose("explore");
    const parted = proposals.filter(({ role }) => role === "part");
    expect(parted.length).toBeGreaterThanOrEqual(1);
    for (const { why } of parted)
      expect(why).toMatch(
        /^tells travel speed from wire feed speed, which moved together in the 14 coupons measured/,
      );
    const settings = parted.map((one) =>
      Object.fromEntries(one.settings.map(({ factor, value }) => [factor, value])),
    );
    // From hopeless to a figure at which effects can be told apart (common practice: below 10).
    expect(inflationWith(logged, [])).toBeGreaterThan(1000);
    expect(inflationWith(logged, settings)).toBeLessThan(10);
    expect(
      proposeNext(model, { coupons: 4, aim: "explore" }).proposals.every(({ role }) => role === "explore"),
    ).toBe(true);
  });

  test("to hit the specification, a third of the coupons at most", () => {
    const { proposals } = propose("hit", 6);
    const parted = proposals.filter(({ role }) => role === "part");
    expect(parted.length).toBeGreaterThanOrEqual(1);
    expect(parted.length).toBeLessThanOrEqual(2);
    expect(Math.abs(Math.log(ratioOf(parted[0]!.settings) / 0.0055))).toBeGreaterThan(0.3);
    expect(propose("hit", 1).proposals.map(({ role }) => role)).toEqual(["hit"]);
    expect(propose("edge").proposals.every(({ role }) => role === "edge")).toBe(true);
  });

  test("parts nothing where the coupons tell the settings apart", () => {
    const apart = ridge(14, (i) => 0.004 + 0.0015 * (i % 3));
    expect(propose("explore", 4, apart).proposals.every(({ role }) => role === "explore")).toBe(true);
    expect(propose("explore", 4, []).proposals.every(({ role }) => role === "explore")).toBe(true);
    expect(propose("explore", 4, logged.slice(0, 1)).proposals).toHaveLength(4);
  });

  test("a budget pays for as many coupons as their expenses allow, and is refused where it pays for none", () => {
    const priced = {
      ...model,
      definition: tigDefinition({ costs: { currency: "EUR", labourPerHour: 30, materialPerCoupon: 2 } }),
    };
    const all = proposeNext(priced, { coupons: 8, logged }).proposals.map(({ expense }) => expense!);
    const total = (expenses: typeof all): number => expenses.reduce((sum, { money }) => sum + money!, 0);
    const money = 0.4 * total(all);
    const { proposals } = proposeNext(priced, { coupons: 8, logged, budget: { money } });
    const paid = proposals.map(({ expense }) => expense!);
    expect(total(paid)).toBeLessThanOrEqual(money);
    // The one that was not paid any more costs no more than the dearest of all.
    expect(total(paid) + Math.max(...all.map((expense) => expense.money!))).toBeGreaterThan(money);
    for (const expense of paid) expect(all).toContainEqual(expense);
    // 30 an hour and 2 for the plate, nothing else: by hand.
    for (const { money: price, minutes } of all) expectDigits(price!, 2 + minutes / 2, 12);
    expect(() => proposeNext(priced, { coupons: 8, budget: { minutes: 1 } })).toThrow(/pays for no coupon/);
    expect(
      paidFor(
        { gas: 3 },
        [1, 1, 1, 1].map((gas) => ({ gas, minutes: 0, wire: 0 })),
      ),
    ).toBe(3);
  });
});

describe("what the checks have taught", { timeout: 120_000 }, () => {
  const tip = tigDefinition({
    process: "135",
    factors: [
      { name: "wire_feed_speed", unit: "m/min", low: 4, high: 9, step: 0.1 },
      { name: "travel_speed", unit: "mm/min", low: 250, high: 600, step: 5 },
      { name: "contact_tip_distance", unit: "mm", low: 8, high: 22, step: 0.5 },
    ],
  });
  const learnt = (seed: number, count: number, chance: (tipDistance: number) => number) => {
    const stream = randomStream(seed);
    const { runs } = planCoupons({ factors: tip.factors, coupons: count, design: "sobol", seed });
    const coupons = runs.map(({ settings }, i) => {
      const sound = stream.uniform() < chance(Number(settings.contact_tip_distance));
      const measured = sound ? { bead_width: 6 + 0.3 * stream.normal(), bead_height: 2 } : {};
      return loggedCoupon(
        i,
        settings,
        { passed: { sound_bead: sound }, measured: measured as Record<string, number> },
        1,
      );
    });
    return proposeNext(buildOutcomeModel({ definition: tip, coupons }, { seed }), { coupons: 1 }).learnt;
  };

  test("is told in a sentence, with a chance that holds on the rig simulated", () => {
    // A rig that fails above 15 mm, softly.
    const truth = (distance: number): number => 0.97 / (1 + Math.exp((distance - 15) / 0.4));
    const lessons = [1, 2, 3].flatMap((seed) => learnt(seed, 30, truth));
    expect(lessons.length).toBeGreaterThanOrEqual(2);
    for (const { check, quantity, side, at, text, chance } of lessons) {
      expect([check, quantity, side]).toEqual(["sound_bead", "contact_tip_distance", "above"]);
      expect(1 - truth(at)).toBeGreaterThan(chance - 0.1);
      expect(text).toMatch(
        /^contact tip distance above [\d.]+ mm: sound bead fails, 9 chances in 10 \([0-6] in 10 before any coupon\)$/,
      );
    }
  });

  test("is nothing where failures are luck, or none came", () => {
    expect([4, 5, 6].flatMap((seed) => learnt(seed, 30, () => 0.6))).toEqual([]);
    expect(learnt(7, 12, () => 1)).toEqual([]);
  });
});
