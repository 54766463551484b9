import { describe, expect, test } from "vitest";
import {
  cleanExposure,
  cleanTrials,
  cleanTrialsToShow,
  compareRates,
  rateBounds,
  shareBounds,
} from "../../../lib/endurance/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

// R 4.2.2: binom.test(3, 60), binom.test(0, 60), binom.test(59, 60, conf.level = .8)
test.each([
  [3, 60, 0.95, 0.0104323296443, 0.1392432467211],
  [0, 60, 0.95, 0, 0.0596294922862],
  [59, 60, 0.8, 0.936712616607, 0.998245532287],
])("the bounds of %i in %i at %f are R's", (events, trials, confidence, lower, upper) => {
  const bounds = shareBounds(events, trials, confidence);
  expectDigits(bounds.lower, lower, 11, "lower");
  expectDigits(bounds.upper, upper, 11, "upper");
});

test("none in 60 says at most 4.87 %, the rule of three's exact form 1 - 0.05^(1/n)", () => {
  expectDigits(shareBounds(0, 60).atMost, 1 - 0.05 ** (1 / 60), 12);
});

// NIST/SEMATECH e-Handbook 8.4.5.1: a lower bound of the mean time between events from r = 0 is T / -ln(alpha).
test("no event in an exposure bounds the rate as the e-Handbook says", () => {
  expectDigits(1 / rateBounds(0, 500).atMost, 500 / -Math.log(0.05), 12);
  // R 4.2.2: poisson.test(3, 1), poisson.test(7, 13.2)
  expectDigits(rateBounds(3, 1).lower, 0.618672122, 8);
  expectDigits(rateBounds(3, 1).upper, 8.76727307, 8);
  expectDigits(rateBounds(7, 13.2).lower, 0.213209322085, 11);
  expectDigits(rateBounds(7, 13.2).upper, 1.092626921341, 11);
});

test("clean trials to show a share: with one fewer the bound is still above it", () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-4, max: 0.5, noNaN: true }), (share) => {
      const trials = cleanTrialsToShow(share);
      expect(shareBounds(0, trials).atMost).toBeLessThanOrEqual(share * (1 + 1e-9));
      if (trials > 1) expect(shareBounds(0, trials - 1).atMost).toBeGreaterThan(share);
    }),
  );
});

describe("the chance that nothing happens", () => {
  // Beta-binomial predictions, worked by hand from B(a, b + N) / B(a, b).
  test("of trials, under Jeffreys' and a uniform prior", () => {
    expectDigits(cleanTrials({ events: 0, trials: 60, ahead: 60 }).predictive, 0.70784, 5);
    expectDigits(cleanTrials({ events: 3, trials: 60, ahead: 60 }).predictive, 0.08514, 4);
    const uniform = cleanTrials({ events: 0, trials: 60, ahead: 60 }, { prior: [1, 1] });
    expectDigits(uniform.predictive, 61 / 121, 12);
    expectDigits(uniform.atLeast, 0.05, 12);
  });

  test("of an exposure is what a simulated gamma-Poisson mixture gives", () => {
    // Rate ~ chi-square(2 r + 1) / 2T: with r = 1 that is the sum of three squared normals.
    const random = randomStream(11);
    let sum = 0;
    const runs = 200_000;
    for (let run = 0; run < runs; run++) {
      const chi = random.normal() ** 2 + random.normal() ** 2 + random.normal() ** 2;
      sum += Math.exp(-(chi / 2 / 40) * 25);
    }
    const chance = cleanExposure({ events: 1, exposure: 40, ahead: 25 }).predictive;
    expect(Math.abs(chance - sum / runs)).toBeLessThan(0.003);
  });

  test("with no record at all is unknown from below and says so", () => {
    expect(cleanExposure({ events: 0, exposure: 0, ahead: 5 })).toMatchObject({ predictive: 0, atLeast: 0 });
    expect(cleanTrials({ events: 0, trials: 0, ahead: 3 }).atLeast).toBe(0);
  });
});

describe("before and after a change", () => {
  // R 4.2.2: poisson.test(c(after, before), c(exposure after, exposure before))
  test.each([
    [
      { events: 11, exposure: 800 },
      { events: 23, exposure: 3011 },
      0.136634447064,
      0.26015497106362306,
      1.2622993942894278,
    ],
    [
      { events: 9, exposure: 12 },
      { events: 2, exposure: 17.5 },
      0.00996398841842,
      0.0160214681507,
      0.7362092131405,
    ],
    [{ events: 6, exposure: 20 }, { events: 0, exposure: 30 }, 0.004096, 0, 0.566207462865],
    [{ events: 500, exposure: 1100 }, { events: 400, exposure: 1000 }, 0.0571893360487, undefined, undefined],
  ])("%j against %j gives R's test and bounds", (before, after, p, lower, upper) => {
    const found = compareRates(before, after);
    expectDigits(found.p, p, 9, "p");
    if (lower !== undefined) expectDigits(found.lower, lower, 6, "lower");
    if (upper !== undefined) expectDigits(found.upper, upper, 6, "upper");
  });

  test("the posterior of the ratio is that of two drawn gamma rates", () => {
    const random = randomStream(5);
    const gammaHalf = (n: number): number => {
      let sum = 0;
      for (let i = 0; i < 2 * n + 1; i++) sum += random.normal() ** 2;
      return sum / 2;
    };
    const ratios = Array.from({ length: 40_000 }, () => gammaHalf(2) / 17.5 / (gammaHalf(9) / 12)).sort(
      (a, b) => a - b,
    );
    const found = compareRates({ events: 9, exposure: 12 }, { events: 2, exposure: 17.5 });
    expectDigits(found.posterior.median, ratios[20_000]!, 1.5, "median");
    expectDigits(found.posterior.upper, ratios[39_000]!, 1.3, "upper");
    expect(Math.abs(found.chanceLower - ratios.filter((r) => r < 1).length / 40_000)).toBeLessThan(0.003);
  });

  test("nothing on either side says nothing", () => {
    const found = compareRates({ events: 0, exposure: 10 }, { events: 0, exposure: 10 });
    expect(found).toMatchObject({ p: 1, lower: 0, upper: Number.POSITIVE_INFINITY, ratio: Number.NaN });
    expectDigits(found.chanceLower, 0.5, 10);
  });
});

test("exact bounds hold at least as often as they claim in 1000 simulated records each", () => {
  const random = randomStream(77);
  for (const rate of [0.3, 2, 9]) {
    let held = 0;
    for (let run = 0; run < 1000; run++) {
      let count = 0;
      let time = -Math.log(1 - random.uniform());
      while (time < rate) {
        count++;
        time += -Math.log(1 - random.uniform());
      }
      const { lower, upper } = rateBounds(count, 1, 0.9);
      if (lower <= rate && rate <= upper) held++;
    }
    expect(held / 1000, `rate ${rate}`).toBeGreaterThanOrEqual(0.88);
  }
});

test.each([
  [() => shareBounds(3, 2), "events must be at least 0 and at most 2, got 3"],
  [() => shareBounds(0, 0), "trials must be"],
  [() => rateBounds(1.5, 10), "events must be a whole number"],
  [() => rateBounds(1, 0), "exposure must be above 0"],
  [() => rateBounds(1, 10, 95), "confidence must be above 0 and below 1"],
  [
    () => compareRates({ events: 1, exposure: 0 }, { events: 1, exposure: 1 }),
    "exposure before must be above 0",
  ],
])("what cannot be is refused: %s", (call, message) => {
  expect(call).toThrow(message);
});
