import { describe, expect, test } from "vitest";
import { findRoot, randomStream, tQuantile } from "../../../lib/numeric/index.js";
import {
  type ConvergedFit,
  fitLinear,
  fitNonlinear,
  formulaModel,
  linearModel,
  type Model,
  parameterIntervals,
  predict,
  profileIntervals,
  requireConverged,
  tIntervals,
} from "../../../lib/regression/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";
import { expectDigits } from "../../support/digits.js";

const power = formulaModel("a * I^b * v^c", { variables: ["I", "v"] });
const truth = [0.5, 0.6, -0.4];
const grid = [120, 140, 160].flatMap((current) => [3, 4, 5].map((speed) => [current, speed]));
const patience = 120_000;

/** Nine coupons on a narrow grid, scatter 8 % of the mean in its middle. */
function ninePowers(random: { normal(): number }): ConvergedFit {
  const sd = 0.08 * power.predict(truth, [140, 4]);
  const y = grid.map((row) => power.predict(truth, row) + sd * random.normal());
  return requireConverged(fitNonlinear({ x: grid, y }, power, { start: [1, 0.5, -0.5] }));
}

const holds = ({ lower, upper }: { lower: number; upper: number }, value: number): boolean =>
  lower <= value && value <= upper;

describe("parameterIntervals", () => {
  test("by t where the model is linear, by profile where it is curved", () => {
    const names = ["a", "b"];
    const line = fitLinear({ x: [0, 1, 2, 3].map((t) => [1, t]), y: [1, 3, 4, 7] }, { names });
    const straight = parameterIntervals(line, linearModel(names), { level: 0.9 });
    expect(straight.map(({ method }) => method)).toEqual(["t", "t"]);
    expect(straight.map(({ lower, upper }) => [lower, upper])).toEqual(
      tIntervals(line, { level: 0.9 }).map(({ lower, upper }) => [lower, upper]),
    );
    const fit = ninePowers(randomStream(5));
    const curved = parameterIntervals(fit, power);
    expect(curved.map(({ method }) => method)).toEqual(["profile", "profile", "profile"]);
    expect(curved.map(({ lower, upper }) => [lower, upper])).toEqual(
      profileIntervals(fit, power).map(({ lower, upper }) => [lower, upper]),
    );
    expect(parameterIntervals(fit, power, { parameters: ["b"] }).map(({ name }) => name)).toEqual(["b"]);
  });

  test(
    "hold the coefficient of a power law of nine coupons, which estimate +- t standard errors do not",
    () => {
      const random = randomStream(81);
      const shares = coverage(1000, () => {
        const fit = ninePowers(random);
        return [
          ...parameterIntervals(fit, power).map((interval, j) => holds(interval, truth[j]!)),
          holds(tIntervals(fit)[0]!, truth[0]!),
        ];
      });
      power.parameters.forEach((name, j) => {
        expectNominal(shares[j]!, name);
      });
      expect(shares[3]).toBeLessThan(0.9);
    },
    patience,
  );
});

/** The least sum of squares with the response at a row held, found by solving for `a` and scanning the rest. */
function heldSum(fit: ConvergedFit, row: readonly number[], value: number): number {
  const { x, y } = fit.observations;
  const other: Model = {
    parameters: ["b", "c"],
    linearIn: [],
    predict: ([b, c], at) => value * (at[0]! / row[0]!) ** b! * (at[1]! / row[1]!) ** c!,
  };
  return fitNonlinear({ x, y }, other, { start: fit.estimates.slice(1), starts: 0 }).rss;
}

describe("predict where the response is curved", () => {
  const far = [260, 1.5];

  test("the ends of the mean are those of the fit written in that mean", () => {
    const random = randomStream(9);
    for (let k = 0; k < 5; k++) {
      const fit = ninePowers(random);
      const [at] = predict({ fit, model: power, x: [far], level: 0.9 });
      const limit = fit.rss * (1 + tQuantile(0.95, fit.df) ** 2 / fit.df);
      const excess = (value: number): number => heldSum(fit, far, value) - limit;
      const { mean, confidence } = at!;
      expectDigits(
        confidence.lower,
        findRoot({ f: excess, lower: mean / 10, upper: mean, tolerance: 1e-9 * mean }).x,
        4,
      );
      expectDigits(
        confidence.upper,
        findRoot({ f: excess, lower: mean, upper: 10 * mean, tolerance: 1e-9 * mean }).x,
        4,
      );
    }
  });

  test("an observation at an end of its interval, added to the data, raises the sum of squares by t^2 s^2", () => {
    const fit = ninePowers(randomStream(17));
    const [at] = predict({ fit, model: power, x: [far], weight: 0.5 });
    const rise = (tQuantile(0.975, fit.df) * fit.residualSd) ** 2;
    const { x, y } = fit.observations;
    for (const value of [at!.prediction.lower, at!.prediction.upper]) {
      const more = { x: [...x, far], y: [...y, value], weights: [...y.map(() => 1), 0.5] };
      expectDigits(fitNonlinear(more, power, { start: fit.estimates }).rss - fit.rss, rise, 3);
    }
    expect(at!.open).toBe(false);
  });

  test("asked for symmetric intervals gives mean +- t standard errors, as for a line", () => {
    const fit = ninePowers(randomStream(17));
    const [at] = predict({ fit, model: power, x: [far], intervals: "symmetric" });
    const half = tQuantile(0.975, fit.df) * at!.standardError;
    expectDigits(at!.confidence.upper, at!.mean + half, 12);
    expectDigits(at!.confidence.lower, at!.mean - half, 12);
    const [usual] = predict({ fit, model: power, x: [far] });
    expect(usual!.confidence.upper - usual!.mean).toBeGreaterThan(
      1.1 * (usual!.mean - usual!.confidence.lower),
    );
  });

  test("says that growth seen too early sets no upper end to what comes later", () => {
    const growth = formulaModel("a * (1 - exp(-k * t))", { variables: ["t"] });
    const x = [0.3, 0.6, 1, 1.4, 1.8, 2.2, 2.6, 3].map((t) => [t]);
    const y = [3.6, 4.1, 9.2, 8.4, 13.4, 13.1, 15.2, 14.6];
    const fit = requireConverged(fitNonlinear({ x, y }, growth, { start: [20, 0.5] }));
    const [, late] = predict({ fit, model: growth, x: [[2], [200]], level: 0.999 });
    expect(late!.open).toBe(true);
    expect(late!.confidence.upper).toBeGreaterThan(5 * late!.mean);
  });

  test(
    "holds means far from the coupons and next coupons there, each tail alike",
    () => {
      const random = randomStream(83);
      const mean = power.predict(truth, far);
      const sd = 0.08 * power.predict(truth, [140, 4]);
      const shares = coverage(1000, () => {
        const [at] = predict({ fit: ninePowers(random), model: power, x: [far] });
        const next = mean + sd * random.normal();
        const { confidence, prediction } = at!;
        return [
          holds(confidence, mean),
          holds(prediction, next),
          mean > confidence.upper,
          mean < confidence.lower,
        ];
      });
      expectNominal(shares[0]!, "the mean");
      expectNominal(shares[1]!, "a next coupon");
      expect(shares[2]).toBeLessThan(0.035);
      expect(shares[3]).toBeLessThan(0.035);
    },
    patience,
  );
});
