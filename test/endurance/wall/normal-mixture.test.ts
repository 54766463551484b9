import fc from "fast-check";
import { expect, test } from "vitest";
import { mixtureBand, mixtureChance } from "../../../lib/endurance/wall/normal-mixture.js";
import { expectDigits } from "../../support/digits.js";

/** One to six parts, from needles to plains, near and far apart. */
const mixtures = fc
  .array(
    fc.record({
      weight: fc.double({ min: 0.01, max: 1, noNaN: true }),
      mean: fc.double({ min: -50, max: 50, noNaN: true }),
      logSd: fc.double({ min: -5, max: 4, noNaN: true }),
    }),
    { minLength: 1, maxLength: 6 },
  )
  .map((parts) => {
    const total = parts.reduce((sum, { weight }) => sum + weight, 0);
    return parts.map(({ weight, mean, logSd }) => ({
      weight: weight / total,
      mean,
      variance: Math.exp(2 * logSd),
    }));
  });

test("the limits of a mixture leave out as much on either side as the level says", () => {
  fc.assert(
    fc.property(mixtures, fc.constantFrom(0.5, 0.9, 0.99), (parts, level) => {
      const { low, high } = mixtureBand(parts, level);
      // In a gap between far parts the chance is flat, so that the limit is told by the chance, not by its place.
      const [below, upTo] = [mixtureChance(parts, low), mixtureChance(parts, high)];
      expect(Math.abs(below - (1 - level) / 2)).toBeLessThan(1e-7);
      expect(Math.abs(upTo - (1 + level) / 2)).toBeLessThan(1e-7);
    }),
  );
});

test("the limits of two parts agree with SciPy's norm and brentq", () => {
  // 0.3 N(1, 0.5^2) + 0.7 N(4, 2^2): brentq(lambda x: .3*norm.cdf((x-1)/.5)+.7*norm.cdf((x-4)/2)-p, -40, 40, xtol=1e-14)
  const { expected, low, high } = mixtureBand(
    [
      { weight: 0.3, mean: 1, variance: 0.25 },
      { weight: 0.7, mean: 4, variance: 4 },
    ],
    0.9,
  );
  expectDigits(expected, 3.1, 14);
  expectDigits(low, 0.32745089767951, 11);
  expectDigits(high, 6.930467585371043, 11);
});
