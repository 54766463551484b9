import { describe, expect, test } from "vitest";
import { fitLatent, type LatentPosterior, transferEvidence } from "../../../lib/models/outcome/latent-fit.js";
import type { LatentPrior } from "../../../lib/models/outcome/latent-prior.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Data {
  readonly rows: number[][];
  readonly values: number[];
  readonly blocks: number[];
  readonly places: number[];
  readonly trust: number[];
}
interface Posterior {
  readonly weights: number[];
  readonly covariance: number[][];
  readonly gains: number[][];
  readonly residuals: number[];
  readonly leftOut: [mean: number, variance: number][];
  readonly trend: [estimate: number, sd: number];
}
interface Reference {
  readonly prior: {
    readonly mean: number[];
    readonly constantSd: number;
    readonly slopeSds: number[];
    readonly scatter: number;
    readonly departure: number;
    readonly block: number;
    readonly trend: number;
    readonly shiftSd: number;
  };
  readonly inflation: number;
  readonly own: Data;
  readonly old: Data;
  readonly alone: Posterior;
  readonly helped: Posterior & { readonly shift: [number, number] };
  readonly transfer: number;
  readonly averaged: {
    readonly logSd: [number, number, number, number];
    readonly scatter: number;
    readonly departure: number;
    readonly block: number;
  };
}

/** Made with NumPy and SciPy by latent_posterior.py: the same posterior by inverting coupons, not weights. */
const reference = readFixture<Reference>(import.meta.url, "fixtures/latent-posterior.json");
const size = reference.prior.mean.length;

/** The prior of the reference, spreads known as well as said. */
function priorWith([scatter, departure, block, trend]: readonly number[]): LatentPrior {
  const { mean, constantSd, slopeSds, shiftSd, ...medians } = reference.prior;
  return {
    role: "response",
    name: "toe angle",
    mean: { constant: mean[0]!, slopes: mean.slice(1, 3) },
    constantSd,
    slopeSds,
    scatter: { median: medians.scatter, logSd: scatter! },
    departure: { median: medians.departure, logSd: departure! },
    block: { median: medians.block, logSd: block! },
    trend: { median: medians.trend, logSd: trend! },
    shiftSd,
  };
}

const dataOf = ({ rows, ...data }: Data) => ({ ...data, rows: rows.map((row) => Float64Array.from(row)) });
/** The coupons, each counted in full. */
const trusted = { ...dataOf(reference.own), trust: reference.own.trust.map(() => 1) };
const known = priorWith([0, 0, 0, 0]);
const older = { ...dataOf(reference.old), inflation: reference.inflation };

function expectPosterior(found: LatentPosterior, expected: Posterior): void {
  expected.weights.forEach((weight, a) => {
    expectDigits(found.weights[a]!, weight, 9, `weight ${a}`);
    for (let b = 0; b <= a; b++) {
      let sum = 0;
      for (let k = 0; k < size; k++) sum += found.root[a * size + k]! * found.root[b * size + k]!;
      expectDigits(sum, expected.covariance[a]![b]!, 6, `covariance ${a}, ${b}`);
    }
  });
  expected.gains.forEach((gain, i) => {
    gain.forEach((value, a) => {
      expectDigits(found.gains[i]![a]!, value, 8, `gain of weight ${a} from coupon ${i}`);
    });
    expectDigits(found.residuals[i]!, expected.residuals[i]!, 8, `residual ${i}`);
    const [mean, variance] = expected.leftOut[i]!;
    expectDigits(found.leftOut[i]!.mean, mean, 8, `coupon ${i} left out`);
    expectDigits(found.leftOut[i]!.variance, variance, 8, `variance of coupon ${i} left out`);
  });
  expectDigits(found.trend.estimate, expected.trend[0], 8, "trend");
  expectDigits(found.trend.sd, expected.trend[1], 8, "sd of the trend");
}

describe("fitLatent", () => {
  test("of one study in three blocks with a trend, some records trusted in part", () => {
    const found = fitLatent({ prior: known, data: dataOf(reference.own), size });
    expectPosterior(found, reference.alone);
    expectDigits(found.coupons, 8.15, 12);
    expect(found.shift).toBeUndefined();
  });

  test("with an older study a shift away, its scatter taken larger", () => {
    const found = fitLatent({ prior: known, data: dataOf(reference.own), size }, older);
    expectPosterior(found, reference.helped);
    expectDigits(found.coupons, 14.15, 12);
    expectDigits(found.shift!.estimate, reference.helped.shift[0], 9, "shift");
    expectDigits(found.shift!.sd, reference.helped.shift[1], 9, "sd of the shift");
  });

  test("averages spreads over their priors as a quadrature does", () => {
    // 96 points of a Sobol sequence against 15^3 of Gauss and Hermite: measured 0.2, 1.8 and 0.2 % apart.
    const { logSd, scatter, departure, block } = reference.averaged;
    const found = fitLatent({ prior: priorWith(logSd), data: trusted, size });
    expect(Math.abs(found.scatter / scatter - 1)).toBeLessThan(0.03);
    expect(Math.abs(found.departure / departure - 1)).toBeLessThan(0.03);
    expect(Math.abs(found.blockSd / block - 1)).toBeLessThan(0.03);
  });
});

describe("transferEvidence", () => {
  test("is the log density of the new coupons given the old, but for its constant", () => {
    const found = transferEvidence({ prior: known, data: trusted, size }, older);
    expectDigits(found, reference.transfer, 9);
  });
});
