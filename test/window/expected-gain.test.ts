import { describe, expect, test } from "vitest";
import { buildOutcomeModel, rigPhysics } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { couponPrice } from "../../lib/window/coupon-price.js";
import { batchGain, expectedGain } from "../../lib/window/expected-gain.js";
import { pickByGain } from "../../lib/window/verdict-picks.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";
import { tigDefinition } from "../support/studies.js";

const DRAWS = 64;
/** Two settings nobody knows, each good or bad with even chances independently, and one known to do 0.6. */
const known = new Float64Array(DRAWS).fill(0.6);
const first = Float64Array.from({ length: DRAWS }, (_, m) => (m % 2 === 0 ? 0.95 : 0.05));
const second = Float64Array.from({ length: DRAWS }, (_, m) => (m % 4 < 2 ? 0.95 : 0.05));
const matrix = [known, first, Float64Array.from(first), second];
const chances = { conforming: matrix, passing: matrix.map((row) => Float64Array.from(row)) };
const one = () => 1;
const pick = (
  count: number,
  price: (i: number) => number = one,
  usable: (i: number) => boolean = () => true,
) => pickByGain({ chances, count, stream: randomStream(3), price, usable });

describe("expectedGain", () => {
  test("of one coupon is the rise of the best chance by Bayes' rule", () => {
    // Passes (0.5): good with 0.95, so the setting does 0.95 0.95 + 0.05 0.05; fails: the known one stays best.
    expectDigits(expectedGain(chances, 1), 0.5 * (0.95 ** 2 + 0.05 ** 2) + 0.5 * 0.6 - 0.6, 10);
  });

  test("of a setting already known is nothing", () => {
    expect(expectedGain(chances, 0)).toBeLessThan(1e-12);
  });
});

describe("batchGain", () => {
  const gain = (batch: readonly number[]): number => batchGain(chances, batch, randomStream(4));

  test("of one coupon is its expected gain, of two different questions more, of one asked twice less", () => {
    // 256 simulated worlds: standard error 0.01.
    expect(Math.abs(gain([1]) - expectedGain(chances, 1))).toBeLessThan(0.03);
    // Either good: 0.75 of worlds; each question answered right with 0.95.
    expect(gain([1, 3])).toBeGreaterThan(gain([1]) + 0.04);
    expect(gain([1, 2])).toBeLessThan(gain([1, 3]) - 0.02);
  });

  test("of nothing, or of what is known, is nothing", () => {
    expect(gain([])).toBe(0);
    expect(gain([0, 0])).toBeLessThan(1e-12);
  });
});

describe("pickByGain", () => {
  test("asks two different questions rather than one twice", () => {
    const picked = pick(2);
    expect(picked).toContain(3);
    expect(picked.includes(1) !== picked.includes(2)).toBe(true);
  });

  test("never picks a candidate twice nor one that may not be used", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 0, max: 3 }), (count, barred) => {
        const picked = pick(count, one, (i) => i !== barred);
        expect(new Set(picked).size).toBe(picked.length);
        expect(picked).not.toContain(barred);
      }),
      { seed: 1 },
    );
  });

  test("takes the cheaper of two equal questions; the unit of price does not matter", () => {
    expect(pick(1, (i) => (i === 2 ? 1 : 3))).toEqual([2]);
    fc.assert(
      fc.property(fc.double({ min: 1e-3, max: 1e3, noNaN: true }), (unit) => {
        expect(pick(3, (i) => unit * (1 + i))).toEqual(pick(3, (i) => 1 + i));
      }),
      { seed: 2 },
    );
  });
});

test("couponPrice adds material, time, gas and wire by the study's costs", () => {
  const costs = {
    materialPerCoupon: 2,
    labourPerHour: 60,
    minutesPerCoupon: 15,
    wirePerKg: 20,
    gasPerM3: 10,
  };
  const definition = tigDefinition({ costs, rig: { settings: { gas_flow: "10 L/min" } } });
  // 120 mm of bead at 120 mm/min: 1 min of arc, 1.5 min of gas, 1.2 m of wire of 1.130973 mm2.
  const grams = 1.2 * 1.130973 * rigPhysics({ definition }).wireDensity.value;
  const settings = { current: 150, travel_speed: 120, wire_feed_speed: 1.2 };
  expectDigits(
    couponPrice(buildOutcomeModel({ definition, coupons: [] }))!(settings),
    2 + 15 + (10 * 15) / 1000 + (20 * grams) / 1000,
    6,
  );
  expect(couponPrice(buildOutcomeModel({ definition: tigDefinition(), coupons: [] }))).toBeUndefined();
});
