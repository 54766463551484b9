import { describe, expect, test } from "vitest";
import type { LatentModel } from "../../../lib/models/outcome/latent.js";
import type { LatentPosterior } from "../../../lib/models/outcome/latent-fit.js";
import { drawWeights, tieLatents } from "../../../lib/models/outcome/latent-tie.js";
import { latentValue } from "../../../lib/models/outcome/latent-value.js";
import { randomStream } from "../../../lib/numeric/index.js";

const SIZE = 2;
const posterior = (parts: Partial<LatentPosterior>): LatentPosterior => ({
  name: "toe angle",
  weights: [0, 0],
  root: [1, 0, 0, 1],
  scatter: 1,
  departure: 1,
  blockSd: 1,
  blockScore: { mean: 0, variance: 1 },
  trend: { estimate: 0, sd: 0 },
  leftOut: [],
  coupons: 3,
  residuals: [],
  gains: [],
  ...parts,
});

/** Sums over draws of products of two weights about their means. */
function covarianceOf(one: readonly number[], other: readonly number[]): number {
  const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length;
  const [a, b] = [mean(one), mean(other)];
  return mean(one.map((value, i) => (value - a) * (other[i]! - b)));
}

describe("tieLatents", () => {
  // Three responses: width, one of its own, and height = own latent x (-1) + width x (-1); the third and fourth coupon
  // show only one of the pair.
  const flat = { constant: 0, slopes: [] };
  const link = (response: string, own: number, coefficients: readonly number[]) => ({
    response,
    log: false,
    origin: 0,
    scale: 1,
    offset: flat,
    own,
    coefficients,
  });
  const latent: LatentModel = {
    priors: [],
    links: [link("width", 0, [1, 0, 0]), link("toe", 1, [0, 1, 0]), link("height", 2, [-1, 0, -1])],
  };
  const scatter = [
    [0.5, 0.1, 0.2],
    [0.1, 0.4, 0],
    [0.2, 0, 0.9],
  ];
  const gains = [
    [
      [0.3, -0.2],
      [0.6, 0.1],
      [0.2, 0.5],
    ],
    [],
    [
      [-0.4, 0.7],
      [0.1, 0.3],
      [0.8, -0.6],
    ],
  ];
  const shownBy = [[0, 1, 2], [], [0, 1, 3]];
  const posteriors = gains.map((rows) => posterior({ gains: rows }));
  const ties = tieLatents({ latent, posteriors, shownBy, scatter });

  test("ties height to width alone", () => {
    expect(ties.map(({ first, second }) => [first, second])).toEqual([[0, 2]]);
  });

  test("with the covariance that scatter of the responses leaves in both laws, by simulation", () => {
    const stream = randomStream(31);
    const point = new Float64Array(0);
    const draws = 40_000;
    const sums = [0, 0, 0, 0];
    for (let d = 0; d < draws; d++) {
      const errors = [0, 0, 0, 0].map(() => {
        // Width and height of one coupon with the covariance above, by its triangular root.
        const [a, b] = [stream.normal(), stream.normal()];
        const width = Math.sqrt(0.5) * a;
        const height = (0.2 / Math.sqrt(0.5)) * a + Math.sqrt(0.9 - 0.04 / 0.5) * b;
        const measured = new Map([
          ["width", width],
          ["height", height],
        ]);
        return [0, 2].map((l) => latentValue(latent, latent.links[l]!, { measured, point })!);
      });
      const moved = [0, 2].map((l, which) =>
        [0, 1].map((a) =>
          shownBy[l]!.reduce((sum, coupon, k) => sum + gains[l]![k]![a]! * errors[coupon]![which]!, 0),
        ),
      );
      for (let i = 0; i < SIZE; i++) {
        for (let j = 0; j < SIZE; j++) sums[i * SIZE + j]! += (moved[0]![i]! * moved[1]![j]!) / draws;
      }
    }
    // The standard error of an entry is below 0.004.
    ties[0]!.covariance.forEach((value, k) => {
      expect(Math.abs(value - sums[k]!)).toBeLessThan(0.016);
    });
    expect(Math.max(...ties[0]!.covariance.map(Math.abs))).toBeGreaterThan(0.1);
  });
});

describe("drawWeights", () => {
  test("draws each latent with its own mean and covariance, and tied ones with theirs between them", () => {
    const posteriors = [
      posterior({ name: "ln width", weights: [1, -2], root: [0.5, 0, 0.3, 0.4] }),
      posterior({ name: "ln fullness", weights: [4, 0.5], root: [0.8, 0, -0.2, 0.6] }),
      posterior({ name: "toe angle", weights: [7, 3], root: [0.2, 0, 0.1, 0.9] }),
    ];
    const between = [0.1, -0.05, 0.12, 0.06];
    const draws = 40_000;
    const found = drawWeights({
      posteriors,
      ties: [{ first: 0, second: 1, covariance: between }],
      size: SIZE,
      draws,
      stream: randomStream(5),
    });
    const column = (l: number, a: number): number[] => found[l]!.map((weights) => weights[a]!);
    posteriors.forEach(({ weights, root }, l) => {
      expect(found[l]).toHaveLength(draws);
      for (let a = 0; a < SIZE; a++) {
        const drawn = column(l, a);
        expect(Math.abs(drawn.reduce((sum, v) => sum + v, 0) / draws - weights[a]!)).toBeLessThan(0.02);
        for (let b = 0; b <= a; b++) {
          const expected = root[a * SIZE]! * root[b * SIZE]! + root[a * SIZE + 1]! * root[b * SIZE + 1]!;
          expect(Math.abs(covarianceOf(drawn, column(l, b)) - expected)).toBeLessThan(0.03);
        }
      }
    });
    for (let i = 0; i < SIZE; i++) {
      for (let j = 0; j < SIZE; j++) {
        expect(Math.abs(covarianceOf(column(0, i), column(1, j)) - between[i * SIZE + j]!)).toBeLessThan(
          0.02,
        );
        expect(Math.abs(covarianceOf(column(0, i), column(2, j)))).toBeLessThan(0.02);
      }
    }
  });

  test("the same seed draws the same", () => {
    const parts = { posteriors: [posterior({})], ties: [], size: SIZE, draws: 3 };
    expect(drawWeights({ ...parts, stream: randomStream(5) })).toEqual(
      drawWeights({ ...parts, stream: randomStream(5) }),
    );
  });
});
