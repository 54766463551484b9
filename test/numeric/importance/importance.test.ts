import { expect, test } from "vitest";
import { exploreAround, findPeak, resample } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

/** A normal likelihood in each coordinate: everything about it is known in closed form. */
const normalLikelihood =
  (means: readonly number[], spreads: readonly number[]) =>
  (z: Float64Array): number =>
    means.reduce((sum, mean, i) => sum - 0.5 * ((z[i]! - mean) / spreads[i]!) ** 2, 0);

/** ln of the integral of exp(-((z - m)/s)^2/2) over the standard normal: s/sqrt(1 + s^2) exp(-m^2/(2 (1 + s^2))). */
const logEvidence = (means: readonly number[], spreads: readonly number[]): number =>
  means.reduce((sum, mean, i) => {
    const wide = 1 + spreads[i]! ** 2;
    return sum + Math.log(spreads[i]!) - 0.5 * Math.log(wide) - mean ** 2 / (2 * wide);
  }, 0);

const evidenceOf = (logWeights: readonly number[]): number =>
  logWeights.reduce((sum, log) => sum + Math.exp(log), 0) / logWeights.length;

test("the peak and the evidence of a normal likelihood are those worked out by hand", () => {
  fc.assert(
    fc.property(
      fc.double({ min: -2, max: 2, noNaN: true }),
      fc.double({ min: 0.3, max: 2, noNaN: true }),
      fc.double({ min: -2, max: 2, noNaN: true }),
      (a, s, b) => {
        const [means, spreads] = [
          [a, b],
          [s, 0.8],
        ];
        const peak = findPeak(normalLikelihood(means, spreads), [0, 0]);
        means.forEach((mean, i) => {
          expect(Math.abs(peak.at[i]! - mean / (1 + spreads[i]! ** 2))).toBeLessThan(2e-3);
        });
        expect(Math.abs(peak.logEvidence - logEvidence(means, spreads))).toBeLessThan(2e-3);
        // Covariance s^2/(1 + s^2), no correlation.
        expectDigits(peak.factor[0]!, spreads[0]! / Math.sqrt(1 + spreads[0]! ** 2), 2.5);
        expect(Math.abs(peak.factor[2]!)).toBeLessThan(2e-3);
      },
    ),
    { numRuns: 25 },
  );
});

test("importance sampling finds the evidence and the mean of a likelihood that is not normal", () => {
  // Three passes and a failure at a threshold: logistic in z; the references by the trapezoidal rule on a fine grid.
  const logLikelihood = (z: Float64Array): number =>
    3 * -Math.log1p(Math.exp(-2 * z[0]! - 1)) - Math.log1p(Math.exp(2 * z[0]! + 1));
  let [whole, first] = [0, 0];
  for (let i = -8000; i <= 8000; i++) {
    const z = i / 1000;
    const density = Math.exp(logLikelihood(Float64Array.of(z)) - 0.5 * z * z) / Math.sqrt(2 * Math.PI) / 1000;
    whole += density;
    first += z * density;
  }
  const { points, logWeights } = exploreAround(logLikelihood, findPeak(logLikelihood, [0]), 2000);
  // 2000 quasi-random points, one in five from the prior: within 1 %.
  expectDigits(evidenceOf(logWeights), whole, 2, "evidence");
  const mean = points.reduce((sum, z, i) => sum + z[0]! * Math.exp(logWeights[i]!), 0) / logWeights.length;
  expect(Math.abs(mean / whole - first / whole)).toBeLessThan(0.01);
});

test("a likelihood that is hollow at the prior's centre is still covered", () => {
  const ring = (z: Float64Array): number => -0.5 * ((Math.abs(z[0]!) - 2) / 0.2) ** 2;
  const { points, logWeights } = exploreAround(ring, findPeak(ring, [0.5]), 4000);
  const left = points.reduce((sum, z, i) => sum + (z[0]! < 0 ? Math.exp(logWeights[i]!) : 0), 0);
  const share = left / (evidenceOf(logWeights) * logWeights.length);
  // Both sides weigh the same; points of the prior alone find the far one.
  expect(Math.abs(share - 0.5)).toBeLessThan(0.1);
});

test("resampling gives each item its share to within one, in rising order", () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: 0.001, max: 10, noNaN: true }), { minLength: 1, maxLength: 12 }),
      fc.integer({ min: 1, max: 200 }),
      (weights, count) => {
        const drawn = resample(weights, count);
        const total = weights.reduce((sum, weight) => sum + weight, 0);
        expect(drawn).toHaveLength(count);
        expect([...drawn].sort((a, b) => a - b)).toEqual(drawn);
        weights.forEach((weight, i) => {
          const got = drawn.filter((index) => index === i).length;
          expect(Math.abs(got - (count * weight) / total)).toBeLessThan(1 + 1e-9);
        });
      },
    ),
  );
});
