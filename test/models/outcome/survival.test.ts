import { describe, expect, test } from "vitest";
import { EXACT, makeCheckChance } from "../../../lib/models/outcome/check-chance.js";
import type { Coordinate } from "../../../lib/models/outcome/coordinates.js";
import type { Margin } from "../../../lib/models/outcome/margins.js";
import { quickExp } from "../../../lib/models/outcome/quick-exp.js";
import { type CheckedPoint, drawBoundaries } from "../../../lib/models/outcome/survival-fit.js";
import { usualPriors } from "../../../lib/models/priors/index.js";
import { normalPdf, normalQuantile, type RandomStream, randomStream } from "../../../lib/numeric/index.js";
import { fc } from "../../support/properties.js";

const margin: Margin = {
  name: "one",
  quantity: { constant: 0, slopes: [1] },
  side: 1,
  threshold: 0.2,
  thresholdSd: 0.3,
  rarity: 0,
  outward: 3,
  softness: { median: 0.035, logSd: 0.75 },
  slopeSds: [0],
};
const data: readonly CheckedPoint[] = [
  [-0.3, true],
  [-0.05, true],
  [0.1, true],
  [0.25, false],
  [0.4, false],
].map(([x, passed]) => verdictAt(passed as boolean, x as number));

/** A verdict at one place, or at one of several that are equally likely. */
function verdictAt(passed: boolean, ...places: readonly number[]): CheckedPoint {
  const share = 1 / places.length;
  return {
    places: places.map((x) => ({ point: Float64Array.of(x), share })),
    passed,
    weight: 1,
    astray: 0,
    doubt: 1,
  };
}
const axis: Coordinate = { factor: "x", kind: "log", centre: 0, scale: 1, half: 0.5, settingSd: 0 };
const draw = (of: readonly CheckedPoint[], draws: number, stream: RandomStream) =>
  drawBoundaries({ margins: [margin], axes: 1, data: of, draws, stream, priors: usualPriors });
const averagePass = (draws: ReturnType<typeof drawBoundaries>, x: number): number =>
  makeCheckChance(draws, [axis]).average(Float64Array.of(x), EXACT);

describe("drawBoundaries", { timeout: 30_000 }, () => {
  test.each([
    ["at known places", data],
    [
      "one at any of three places",
      [...data.slice(0, 2), verdictAt(true, 0.05, 0.2, 0.35), verdictAt(false, 0.4)],
    ],
  ])(
    "agrees with integration over a grid of threshold, softness, lapse and wrong verdicts, %s",
    (_, said) => {
      // Priors as documented: softness 0.035 exp(0.75 z), lapse 0.01 exp(0.7 z), wrong verdicts 0.01 exp(0.8 z), threshold 3 times wider outwards.
      const places = [-0.2, 0.15, 0.18, 0.3];
      const sums = places.map(() => 0);
      let total = 0;
      const grid = (count: number): number[] =>
        Array.from({ length: count }, (_, i) => -3.5 + (7 * (i + 0.5)) / count);
      for (const t of grid(120)) {
        const threshold = 0.2 + 0.3 * (t > 0 ? 3 * t : t);
        for (const s of grid(16)) {
          const softness = 0.035 * Math.exp(0.75 * s);
          for (const l of grid(8)) {
            const lapse = Math.min(0.3, 0.01 * Math.exp(0.7 * l));
            const pass = (x: number): number => (1 - lapse) / (1 + Math.exp(-(threshold - x) / softness));
            for (const v of grid(8)) {
              const wrong = Math.min(0.2, 0.01 * Math.exp(0.8 * v));
              let weight = normalPdf(t) * normalPdf(s) * normalPdf(l) * normalPdf(v);
              for (const { places: run, passed } of said) {
                const passes = run.reduce((sum, { point, share }) => sum + share * pass(point[0]!), 0);
                const chance = wrong + (1 - 2 * wrong) * passes;
                weight *= passed ? chance : 1 - chance;
              }
              total += weight;
              places.forEach((x, i) => {
                sums[i]! += weight * pass(x);
              });
            }
          }
        }
      }
      const draws = draw(said, 1500, randomStream(3));
      // 1500 draws, nearly independent: standard error at most 0.013.
      places.forEach((x, i) => {
        expect(Math.abs(averagePass(draws, x) - sums[i]! / total), `at ${x}`).toBeLessThan(0.04);
      });
    },
  );

  test("without verdicts draws from the prior, and a weight of 0 is no verdict", () => {
    const stream = () => randomStream(5);
    const prior = draw([], 2000, stream());
    const weightless = draw(
      data.map((item) => ({ ...item, weight: 0 })),
      2000,
      stream(),
    );
    // Half the thresholds lie beyond 0.2.
    expect(Math.abs(averagePass(prior, 0.2) - 0.5)).toBeLessThan(0.04);
    expect(Math.abs(averagePass(prior, 0.2) - averagePass(weightless, 0.2))).toBeLessThan(0.05);
  });

  test("a coupon run elsewhere says nothing", () => {
    const stream = () => randomStream(8);
    const odd = { ...verdictAt(false, -0.25), astray: 1 };
    const [without, beside] = [draw(data, 800, stream()), draw([...data, odd], 800, stream())];
    expect(Math.abs(averagePass(without, -0.1) - averagePass(beside, -0.1))).toBeLessThan(0.04);
  });

  test("one verdict against all others does not overturn them", () => {
    const odd = [...data, verdictAt(false, -0.25)];
    const draws = draw(odd, 400, randomStream(6));
    expect(averagePass(draws, -0.1)).toBeGreaterThan(0.7);
  });
});

describe("makeCheckChance", () => {
  const any = (min: number, max: number) => fc.double({ min, max, noNaN: true });

  test("with loosely held settings agrees with the average over them", () => {
    fc.assert(
      fc.property(any(-6, 9), any(0, 20), any(0, 0.3), (constant, slope, sd) => {
        const { average } = makeCheckChance(
          [{ constants: [constant], slopes: [slope], lapse: 0.02, luck: 0 }],
          [{ ...axis, half: 5 }],
        );
        const count = 400;
        let exact = 0;
        for (let i = 0; i < count; i++)
          exact += average(Float64Array.of(sd * normalQuantile((i + 0.5) / count)), EXACT) / count;
        // The largest known error of a logistic curve taken for a normal one is near 0.02.
        expect(Math.abs(average(Float64Array.of(0), Float64Array.of(sd * sd)) - exact)).toBeLessThan(0.022);
      }),
      { numRuns: 200 },
    );
  });

  test("is the product over the margins of each draw, inside the factor ranges and beyond", () => {
    const anyDraw = fc.record({
      constants: fc.array(any(-5, 40), { minLength: 3, maxLength: 3 }),
      slopes: fc.array(any(-30, 30), { minLength: 3, maxLength: 3 }),
      lapse: any(0, 0.3),
      luck: fc.constant(0),
    });
    fc.assert(
      fc.property(fc.array(anyDraw, { minLength: 1, maxLength: 5 }), any(-2, 2), (draws, x) => {
        const chances = draws.map(({ constants, slopes, lapse }) =>
          constants.reduce(
            (product, constant, k) => product / (1 + Math.exp(-constant - slopes[k]! * x)),
            1 - lapse,
          ),
        );
        const made = makeCheckChance(draws, [axis]);
        const point = Float64Array.of(x);
        chances.forEach((chance, m) => {
          expect(Math.abs(made.draw(m, point, EXACT) - chance)).toBeLessThan(0.003);
        });
        const mean = chances.reduce((sum, chance) => sum + chance, 0) / chances.length;
        expect(Math.abs(made.average(point, EXACT) - mean)).toBeLessThan(0.003);
      }),
      { numRuns: 200 },
    );
  });
});

test("a point asked about among many others has the chance it has alone, with settings held exactly or loosely", () => {
  const stream = randomStream(12);
  const around = (sd: number): number => sd * stream.normal();
  const draws = Array.from({ length: 12 }, () => ({
    constants: Array.from({ length: 4 }, () => 6 + around(6)),
    slopes: Array.from({ length: 8 }, () => around(12)),
    lapse: 0.01,
    luck: 0.01,
  }));
  const axes = [0.02, 0.05].map((settingSd, j): Coordinate => ({ ...axis, factor: `x${j}`, settingSd }));
  // Asked about once, a place is judged by all margins that the ranges come near; a thousand others give it a cell.
  const alone = (point: Float64Array, variances: Float64Array) =>
    makeCheckChance(draws, axes).average(point, variances);
  const many = makeCheckChance(draws, axes);
  const points = Array.from({ length: 1000 }, () => Float64Array.from(axes, () => stream.uniform() - 0.5));
  for (const variances of [EXACT, Float64Array.of(0.0001, 0.002)]) {
    for (const point of points) many.average(point, variances);
    for (const point of points.slice(0, 60)) {
      expect(Math.abs(many.average(point, variances) - alone(point, variances))).toBeLessThan(0.004);
    }
  }
});

test("quickExp is exp to nine digits", () => {
  fc.assert(
    fc.property(fc.double({ min: -31, max: 31, noNaN: true }), (x) => {
      expect(Math.abs(quickExp(x) / Math.exp(x) - 1)).toBeLessThan(3e-10);
    }),
  );
});
