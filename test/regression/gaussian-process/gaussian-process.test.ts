import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { hyperparameterAllowance } from "../../../lib/regression/gaussian-process/gaussian-process-allowance.js";
import { gatherSettings } from "../../../lib/regression/gaussian-process/gaussian-process-data.js";
import { ProcessLikelihood } from "../../../lib/regression/gaussian-process/gaussian-process-likelihood.js";
import { restoreProcess } from "../../../lib/regression/gaussian-process/gaussian-process-restore.js";
import {
  fitGaussianProcess,
  type GaussianProcessFit,
  gaussianProcessPredictor,
  leaveOneSettingOut,
  predictGaussianProcess,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Trial {
  readonly signalVariance: number;
  readonly lengthScales: number[];
  readonly noiseVariance: number;
  readonly logLikelihood: number;
}
interface Case extends Trial {
  readonly x: number[][];
  readonly y: number[];
  readonly points: number[][];
  readonly trials: Trial[];
  readonly mean: number[];
  readonly sdOfMeasurement: number[];
}
type Name = "single" | "repeated";
const reference = readFixture<Record<Name, Case>>(import.meta.url, "../fixtures/gaussian-process.json");
const names = ["single", "repeated"] as const;
/** scikit-learn's process has no constant: a trend of 0 asks for the same. */
const withoutConstant = ({ x, y }: Case) => ({ x, y, trend: y.map(() => 0) });
const zeros = (points: readonly unknown[]): number[] => points.map(() => 0);

describe("against scikit-learn (fixtures/gaussian_process.py)", () => {
  test.each(names)("%s: likelihood at given hyperparameters, repeats by their means", (name) => {
    for (const trial of reference[name].trials) {
      const fit = fitGaussianProcess(withoutConstant(reference[name]), { parameters: trial, priors: "none" });
      expectDigits(fit.logLikelihood, trial.logLikelihood, 11);
      expect(fit.status).toBe("given");
    }
  });

  test.each(names)("%s: the optimum of the likelihood", (name) => {
    const expected = reference[name];
    const fit = fitGaussianProcess(withoutConstant(expected), { priors: "none", starts: 5 });
    expect(fit.status).toBe("converged");
    expectDigits(fit.logLikelihood, expected.logLikelihood, 10, "likelihood");
    expectDigits(fit.signalVariance, expected.signalVariance, 4, "signal variance");
    expectDigits(fit.noiseVariance, expected.noiseVariance, 5, "noise variance");
    fit.lengthScales.forEach((scale, k) => {
      expectDigits(scale, expected.lengthScales[k]!, 4, `length scale ${k}`);
    });
  });

  test.each(names)("%s: means and standard deviations of predictions", (name) => {
    const expected = reference[name];
    const fit = fitGaussianProcess(withoutConstant(expected), { parameters: expected, priors: "none" });
    const { mean, sd } = predictGaussianProcess(fit, expected.points, zeros(expected.points));
    mean.forEach((value, i) => {
      expectDigits(value, expected.mean[i]!, 8, `mean ${i}`);
      expectDigits(Math.sqrt(sd[i]! ** 2 + fit.noiseVariance), expected.sdOfMeasurement[i]!, 8, `sd ${i}`);
    });
  });
});

/** A small noisy surface with repeats. */
function surface(seed: number, n: number): { x: number[][]; y: number[] } {
  const stream = randomStream(seed);
  const x = Array.from({ length: n }, () => [100 + 60 * stream.uniform(), 4 + 6 * stream.uniform()]);
  x.push(...x.slice(0, 3), x[0]!);
  const y = x.map(([a, b]) => Math.sin(a! / 20) + 0.05 * (b! - 7) ** 2 + 0.1 * stream.normal());
  return { x, y };
}

describe("leave one setting out", () => {
  test.each([true, false])(
    "equals refitting without the setting, hyperparameters held (trend: %s)",
    (trend) => {
      const { x, y } = surface(3, 12);
      const data = trend ? { x, y, trend: x.map(([a]) => 0.01 * a!) } : { x, y };
      const box = { lower: [100, 4], upper: [160, 10] };
      const { lengthScales, signalVariance, noiseVariance } = fitGaussianProcess(data, { box });
      const parameters = { lengthScales, signalVariance, noiseVariance };
      const all = fitGaussianProcess(data, { box, parameters });
      const left = leaveOneSettingOut(all);
      expect(left.map((setting) => setting.rows.length).reduce((a, b) => a + b, 0)).toBe(x.length);
      for (const { rows, observed, predicted, sd, standardised } of left) {
        const keep = x.map((_, i) => i).filter((i) => !rows.includes(i));
        const rest = fitGaussianProcess(
          {
            x: keep.map((i) => x[i]!),
            y: keep.map((i) => y[i]!),
            ...(trend ? { trend: keep.map((i) => data.trend![i]!) } : {}),
          },
          { box, parameters },
        );
        const at = x[rows[0]!]!;
        const there = predictGaussianProcess(rest, [at], trend ? [0.01 * at[0]!] : undefined);
        expectDigits(predicted, there.mean[0]!, 8);
        expectDigits(sd, Math.sqrt(there.sd[0]! ** 2 + noiseVariance / rows.length), 8);
        expectDigits(standardised, (observed - predicted) / sd, 9);
      }
    },
  );
});

describe("laws", () => {
  test("the gradient of the likelihood is its slope by central differences, repeats and constant included", () => {
    const box = { lower: [100, 4], upper: [160, 10] };
    const likelihood = new ProcessLikelihood(gatherSettings(surface(13, 12), box), undefined);
    const value = fc.double({ min: -1.5, max: 1.5, noNaN: true });
    fc.assert(
      fc.property(value, value, value, (a, b, noise) => {
        const theta = Float64Array.of(a, b, noise - 2);
        const gradient = new Float64Array(3);
        likelihood.evaluate(theta, gradient);
        gradient.forEach((slope, k) => {
          const at = (d: number): number =>
            likelihood.evaluate(theta.map((old, j) => (j === k ? old + d : old))).logLikelihood;
          const difference = (8 * (at(1e-3) - at(-1e-3)) - (at(2e-3) - at(-2e-3))) / 12e-3;
          expect(Math.abs(difference - slope)).toBeLessThan(1e-7 * (1 + Math.abs(slope)));
        });
      }),
      { numRuns: 30 },
    );
  });

  test("row order, units of every column and of y change nothing but units", () => {
    const { x, y } = surface(8, 10);
    const fit = fitGaussianProcess({ x, y });
    const points = [
      [120, 6],
      [150, 8],
    ];
    const before = predictGaussianProcess(fit, points);
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 99 }),
        fc.double({ min: 0.01, max: 100, noNaN: true }),
        (seed, unit) => {
          const order = randomStream(seed).shuffle(y.map((_, i) => i));
          const turn = (row: readonly number[]): number[] => [row[0]! * unit - 3, row[1]! / unit];
          const other = fitGaussianProcess({
            x: order.map((i) => turn(x[i]!)),
            y: order.map((i) => 7 + unit * y[i]!),
          });
          const after = predictGaussianProcess(other, points.map(turn));
          points.forEach((_, i) => {
            expect(Math.abs((after.mean[i]! - 7) / unit - before.mean[i]!)).toBeLessThan(2e-4);
            expect(Math.abs(after.sd[i]! / unit - before.sd[i]!)).toBeLessThan(2e-4);
          });
        },
      ),
      { numRuns: 8 },
    );
  });

  test("the optimum beats every nearby set of hyperparameters, with and without priors", () => {
    const { x, y } = surface(21, 14);
    for (const priors of ["weak", "none"] as const) {
      const fit = fitGaussianProcess({ x, y }, { priors });
      const nudge = randomStream(2);
      for (let k = 0; k < 20; k++) {
        const factor = (): number => Math.exp(0.3 * nudge.normal());
        const other = fitGaussianProcess(
          { x, y },
          {
            priors,
            parameters: {
              lengthScales: fit.lengthScales.map((scale) => scale * factor()),
              signalVariance: fit.signalVariance * factor(),
              noiseVariance: fit.noiseVariance * factor(),
            },
          },
        );
        expect(other.objective).toBeLessThanOrEqual(fit.objective + 1e-9);
      }
    }
  });

  test("a measured setting pulls the sd below that of one measurement; far away it is the prior's", () => {
    const { x, y } = surface(5, 15);
    const fit = fitGaussianProcess({ x, y });
    const { mean, sd } = predictGaussianProcess(fit, [x[0]!, [4000, -300]]);
    expect(sd[0]!).toBeLessThan(Math.sqrt(fit.noiseVariance));
    expect(sd[1]!).toBeGreaterThan(Math.sqrt(fit.signalVariance));
    const constant = fit.average!.reduce((sum, set) => sum + set.weight * set.constant, 0);
    expectDigits(mean[1]!, constant, 9);
  });

  test("batches of any size predict the same as points one by one", () => {
    const { x, y } = surface(6, 20);
    const predict = gaussianProcessPredictor(fitGaussianProcess({ x, y }));
    const stream = randomStream(1);
    const points = Array.from({ length: 131 }, () => [100 + 60 * stream.uniform(), 4 + 6 * stream.uniform()]);
    const all = predict(points);
    for (const i of [0, 63, 64, 127, 130]) {
      const one = predict([points[i]!]);
      expectDigits(all.mean[i]!, one.mean[0]!, 12);
      expectDigits(all.sd[i]!, one.sd[0]!, 9);
    }
    expect(predict([])).toEqual({ mean: [], sd: [], measurementSd: [] });
  });

  test("the allowance for estimated hyperparameters is g' C g with g by refitted differences", () => {
    for (const trended of [false, true]) {
      const { x, y } = surface(17, 14);
      const trend = (rows: readonly (readonly number[])[]) => rows.map(([a]) => 0.01 * a!);
      const data = trended ? { x, y, trend: trend(x) } : { x, y };
      const fit = fitGaussianProcess(data, { priors: "none" });
      const point = [[133, 7.7]];
      const at = (theta: readonly number[]) => {
        const parameters = {
          lengthScales: theta.slice(0, 2).map(Math.exp),
          signalVariance: fit.signalVariance,
          noiseVariance: fit.signalVariance * Math.exp(theta[2]!),
        };
        const other = fitGaussianProcess(data, { parameters });
        return predictGaussianProcess(other, point, trended ? trend(point) : undefined);
      };
      const theta = [...fit.lengthScales.map(Math.log), Math.log(fit.noiseVariance / fit.signalVariance)];
      const { covariance } = hyperparameterAllowance(fit, restoreProcess(fit))!;
      const slopes = theta.map((_, j) => {
        const mean = (d: number): number => at(theta.map((old, k) => (k === j ? old + d : old))).mean[0]!;
        return (8 * (mean(1e-3) - mean(-1e-3)) - (mean(2e-3) - mean(-2e-3))) / 12e-3;
      });
      let allowance = 0;
      slopes.forEach((a, i) => {
        slopes.forEach((b, j) => {
          allowance += a * covariance[i * 3 + j]! * b;
        });
      });
      const plain = (at(theta).sd[0]! ** 2 * x.length) / fit.df;
      const { sd } = predictGaussianProcess(fit, point, trended ? trend(point) : undefined);
      expectDigits(sd[0]! ** 2, plain + allowance, 7);
    }
  });

  test("a trend is added back, and a perfect trend leaves nothing to the process", () => {
    const { x } = surface(4, 12);
    const line = (row: readonly number[]): number => 3 + 0.2 * row[0]! - row[1]!;
    const stream = randomStream(77);
    const y = x.map((row) => line(row) + 0.01 * stream.normal());
    const fit = fitGaussianProcess({ x, y, trend: x.map(line) });
    const points = [[130, 5.5]];
    const { mean } = predictGaussianProcess(fit, points, points.map(line));
    expect(Math.abs(mean[0]! - line(points[0]!))).toBeLessThan(0.02);
    expect(() => predictGaussianProcess(fit, points)).toThrow("stands on a trend");
  });

  test("the same seed gives the same fit; a fit survives JSON", () => {
    const { x, y } = surface(9, 11);
    const fit = fitGaussianProcess({ x, y }, { seed: 5 });
    expect(fitGaussianProcess({ x, y }, { seed: 5 })).toEqual(fit);
    const copy = JSON.parse(JSON.stringify(fit)) as GaussianProcessFit;
    expect(predictGaussianProcess(copy, x)).toEqual(predictGaussianProcess(fit, x));
  });
});

describe("few and awkward data", () => {
  test("six coupons on a slope: length scales stay plausible, the answer stays inside reason", () => {
    const x = [100, 112, 124, 136, 148, 160].map((value) => [value]);
    const y = [1.0, 1.31, 1.58, 1.92, 2.19, 2.5];
    const fit = fitGaussianProcess({ x, y });
    expect(fit.lengthScales[0]!).toBeGreaterThan(0.2);
    expect(fit.lengthScales[0]!).toBeLessThan(10);
    const { mean, sd } = predictGaussianProcess(fit, [[130]]);
    expect(Math.abs(mean[0]! - 1.75)).toBeLessThan(0.05);
    expect(sd[0]!).toBeLessThan(0.2);
  });

  test("values that never vary predict themselves", () => {
    const x = [1, 2, 3, 4].map((value) => [value]);
    const fit = fitGaussianProcess({ x, y: [5, 5, 5, 5] });
    expectDigits(predictGaussianProcess(fit, [[2.5]]).mean[0]!, 5, 8);
  });

  test("settings that nearly coincide are met with jitter or noise, not with an error", () => {
    const x = [0, 1e-12, 2e-12, 1, 0.5].map((value) => [value]);
    const fit = fitGaussianProcess({ x, y: [1, 1.1, 0.9, 2, 1.5] });
    expect(fit.status).toBe("converged");
    expect(predictGaussianProcess(fit, [[0.25]]).mean[0]!).toBeGreaterThan(0.9);
  });

  test("bad input is refused", () => {
    expect(() => fitGaussianProcess({ x: [[1]], y: [1] })).toThrow("at least 2 rows, got 1");
    expect(() => fitGaussianProcess({ x: [[1], [2, 3]], y: [1, 2] })).toThrow(
      "row 2 holds 2 values, row 1 1",
    );
    expect(() => fitGaussianProcess({ x: [[1], [2]], y: [1, Number.NaN] })).toThrow("y of row 2");
    const fit = fitGaussianProcess({ x: [[1], [2]], y: [1, 2] });
    expect(() => predictGaussianProcess(fit, [[1, 2]])).toThrow("every point needs 1 values");
  });
});
