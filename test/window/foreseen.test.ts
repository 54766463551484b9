import { describe, expect, test } from "vitest";
import { buildOutcomeModel, makeLatentKernel, makePredictor } from "../../lib/models/index.js";
import { normalCdf, normalPdf, randomStream } from "../../lib/numeric/index.js";
import { expectedGain } from "../../lib/window/expected-gain.js";
import { type CandidateChances, foresee } from "../../lib/window/foreseen.js";
import type { SizeBeliefs } from "../../lib/window/size-beliefs.js";
import { tigWearRing } from "../rigs/tig-wear-ring.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";
import { loopCoupons } from "./studies.js";

const DRAWS = 16;
const sure = (): Float64Array => new Float64Array(DRAWS).fill(1);

/** One size at a few settings, by the covariance of what is not known of it. */
function oneSize(
  covariance: readonly (readonly number[])[],
  parts: Partial<SizeBeliefs> = {},
): CandidateChances {
  const [scatter, day] = [parts.scatter?.[0] ?? 0.04, parts.day?.[0] ?? 0];
  const passing = covariance.map(sure);
  return {
    passing,
    conforming: passing,
    sizes: {
      means: covariance.map(() => Float64Array.of(0)),
      variances: covariance.map((row, i) => Float64Array.of(row[i]! + scatter + day)),
      dependence: new Float64Array(covariance.length).fill(1),
      lower: [-0.5],
      upper: [0.5],
      coefficients: [[1]],
      scatter: [scatter],
      day: [day],
      covariance: (_, i, j) => covariance[i]![j]!,
      ...parts,
    },
  };
}

/** A random covariance of `n` settings, well away from singular. */
const covariances = (n: number) =>
  fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: n * n, maxLength: n * n }).map((root) =>
    Array.from({ length: n }, (_, i) =>
      Array.from({ length: n }, (_, j) => {
        let sum = i === j ? 0.1 : 0;
        for (let k = 0; k < n; k++) sum += root[i * n + k]! * root[j * n + k]!;
        return sum;
      }),
    ),
  );

describe("foresee", () => {
  test("two readings of one day move a third setting as the normal conditional of all three does", () => {
    fc.assert(
      fc.property(
        covariances(3),
        fc.double({ min: 0.01, max: 0.5, noNaN: true }),
        fc.double({ min: 0, max: 0.5, noNaN: true }),
        fc.tuple(fc.double({ min: -2, max: 2, noNaN: true }), fc.double({ min: -2, max: 2, noNaN: true })),
        (k, scatter, day, [e, f]) => {
          const chances = oneSize(k, { scatter: [scatter], day: [day] });
          const foreseen = foresee(chances, [0, 1, 2]);
          let known = foreseen.nothing();
          known = foreseen.learn(known, 0, { passed: true, surprises: [e] });
          known = foreseen.learn(known, 1, { passed: true, surprises: [f] });
          // Covariance of the two readings, worked out whole; readings from their surprises by its Cholesky factor.
          const a = k[0]![0]! + scatter + day;
          const b = k[0]![1]! + day;
          const c = k[1]![1]! + scatter + day;
          const first = Math.sqrt(a) * e;
          const second = (b / a) * first + Math.sqrt(c - (b * b) / a) * f;
          const determinant = a * c - b * b;
          const [p, q] = [k[0]![2]!, k[1]![2]!];
          const mean = (p * (c * first - b * second) + q * (a * second - b * first)) / determinant;
          const taken = (p * p * c - 2 * p * q * b + q * q * a) / determinant;
          expect(Math.abs(known.moved[0]![2]! - mean)).toBeLessThan(1e-9 * (1 + Math.abs(mean)));
          expect(Math.abs(known.taken[0]![2]! - taken)).toBeLessThan(1e-9 * (1 + taken));
        },
      ),
      { seed: 11, numRuns: 200 },
    );
  });

  test("a failed coupon is not read: only verdicts move", () => {
    const passing = [Float64Array.from({ length: DRAWS }, (_, m) => (m < 8 ? 0.9 : 0.2)), sure()];
    const foreseen = foresee(
      {
        ...oneSize([
          [0.2, 0.1],
          [0.1, 0.2],
        ]),
        passing,
      },
      [0, 1],
    );
    const known = foreseen.learn(foreseen.nothing(), 0, { passed: false, surprises: [3] });
    expect(known.moved[0]!.every((value) => value === 0)).toBe(true);
    // 8 draws of weight .1 against 8 of weight .8.
    expectDigits(foreseen.passes(known, 0), (0.1 * 0.9 + 0.8 * 0.2) / 0.9, 12);
  });

  test("what the next reading is expected to show is what is known now", () => {
    // A martingale: chances averaged over the readings are the chance before. Specification symmetric, so by quadrature.
    const foreseen = foresee(
      oneSize([
        [0.3, 0.25],
        [0.25, 0.4],
      ]),
      [1, 0],
    );
    let sum = 0;
    const step = 0.05;
    for (let z = -6; z <= 6; z += step) {
      sum +=
        normalPdf(z) * step * foreseen.bestAfter(foreseen.nothing(), 1, { passed: true, surprises: [z] });
    }
    expect(sum).toBeGreaterThan(foreseen.best(foreseen.nothing()) - 1e-3);
  });
});

describe("expectedGain of a size", () => {
  test("is the integral over its reading of the better of two settings", () => {
    // A known setting that does 0.6, and one of unknown size: prior variance 0.5, scatter 0.04, within +-0.5.
    const [prior, scatter] = [0.5, 0.04];
    const inside = (mean: number, variance: number): number =>
      normalCdf((0.5 - mean) / Math.sqrt(variance)) - normalCdf((-0.5 - mean) / Math.sqrt(variance));
    const known = 0.2;
    const chances = oneSize(
      [
        [prior, 0],
        [0, 0],
      ],
      {
        means: [Float64Array.of(0), Float64Array.of(0)],
        variances: [Float64Array.of(prior + scatter), Float64Array.of(scatter + known)],
      },
    );
    const now = Math.max(inside(0, prior + scatter), inside(0, scatter + known));
    let after = 0;
    const step = 0.001;
    for (let z = -8; z <= 8; z += step) {
      const mean = (prior / Math.sqrt(prior + scatter)) * z;
      const left = scatter + prior - (prior * prior) / (prior + scatter);
      after += normalPdf(z) * step * Math.max(inside(mean, left), inside(0, scatter + known));
    }
    // 16 readings stand for all: within a hundredth.
    expect(Math.abs(expectedGain(chances, 0) - (after - now))).toBeLessThan(0.01);
    expect(after - now).toBeGreaterThan(0.05);
  });

  test("is nothing where the size is known already", () => {
    expect(
      expectedGain(
        oneSize([
          [0, 0],
          [0, 0],
        ]),
        0,
      ),
    ).toBeLessThan(1e-9);
  });
});

test("the latent kernel's variance is the predictor's doubt, and no correlation leaves -1 to 1", () => {
  const model = buildOutcomeModel({
    definition: tigWearRing.definition,
    coupons: loopCoupons(tigWearRing, 12, 2),
  });
  const predictor = makePredictor(model);
  const kernel = makeLatentKernel(model);
  const stream = randomStream(3);
  const drawn = (): Float64Array =>
    Float64Array.from(model.coordinates, ({ half }) => half * (2 * stream.uniform() - 1));
  const width = model.latent.links.findIndex(({ response }) => response === "bead_width");
  const own = model.latent.links[width]!.own;
  const { blockSd, trend, scatter } = model.posteriors[own]!;
  for (let i = 0; i < 40; i++) {
    const [one, other] = [kernel.at(drawn()), kernel.at(drawn())];
    const variance = kernel.covariance(own, one, one);
    const others = model.scatter[width]![width]! + blockSd ** 2 + (trend.estimate ** 2 + trend.sd ** 2) / 12;
    expectDigits(variance + others, predictor.at(one.point).variance(width), 8);
    const correlation =
      kernel.covariance(own, one, other) / Math.sqrt(variance * kernel.covariance(own, other, other));
    expect(Math.abs(correlation)).toBeLessThanOrEqual(1 + 1e-9);
  }
  expect(scatter).toBeGreaterThan(0);
});
