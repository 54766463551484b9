import { expect, test } from "vitest";
import { momentsWithin, readingWithin } from "../../../lib/models/outcome/within-limits.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

// SciPy 1.x, scipy.stats.truncnorm.mean and .var.
test.each([
  [0, 1, -1, 2, 0.22963717909132902, 0.5197625392115339],
  [5, 2, 6, 6.5, 6.243505768438363, 0.020764706977399072],
  [1, 0.5, Number.NEGATIVE_INFINITY, 0.2, -0.012064492435312602, 0.035377057099903214],
  [0, 1, 2.5, Number.POSITIVE_INFINITY, 2.82274479766391, 0.08897380142110622],
])("momentsWithin of mean %d, sd %d between %d and %d", (mean, sd, lower, upper, after, variance) => {
  const found = momentsWithin({ mean, variance: sd ** 2 }, { lower, upper })!;
  expectDigits(found.mean, after, 8);
  expectDigits(found.variance, variance, 8);
});

test("limits that were expected to hold say nothing; remote open ones cannot be worked out", () => {
  expect(readingWithin({ mean: 0, variance: 1 }, { lower: -9, upper: 9 })).toBeUndefined();
  expect(
    readingWithin({ mean: 0, variance: 1 }, { lower: 30, upper: Number.POSITIVE_INFINITY }),
  ).toBeUndefined();
});

test("a reading joined with what was expected gives the moments within the limits", () => {
  const any = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  fc.assert(
    fc.property(any(-2, 2), any(0.2, 3), any(-2, 2), any(0.1, 2), (mean, sd, lower, width) => {
      const before = { mean, variance: sd ** 2 };
      const limits = { lower, upper: lower + width };
      const reading = readingWithin(before, limits);
      fc.pre(reading !== undefined);
      const after = momentsWithin(before, limits)!;
      const variance = 1 / (1 / before.variance + 1 / reading!.variance);
      expectDigits(variance, after.variance, 6);
      const joined = variance * (before.mean / before.variance + reading!.mean / reading!.variance);
      expect(Math.abs(joined - after.mean)).toBeLessThan(1e-6);
    }),
  );
});
