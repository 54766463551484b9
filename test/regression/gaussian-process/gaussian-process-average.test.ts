import { describe, expect, test } from "vitest";
import { expMinus } from "../../../lib/regression/gaussian-process/gaussian-process-matern.js";
import { fitGaussianProcess, predictGaussianProcess } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

describe("averaging over hyperparameters", () => {
  const x = [0, 0.08, 0.2, 0.31, 0.44, 0.5, 0.63, 0.71, 0.88, 1].map((at) => [at]);
  const y = [0.1, 0.42, 0.81, 0.93, 0.62, 0.55, -0.04, -0.2, -0.71, -0.52];
  const box = { lower: [0], upper: [1] };

  test("gives mean and variance over the sets, each of which predicts by itself", () => {
    const fit = fitGaussianProcess({ x, y });
    const sets = fit.average!;
    expectDigits(
      sets.reduce((sum, { weight }) => sum + weight, 0),
      1,
      12,
    );
    const point = [[0.37]];
    const inflation = x.length / fit.df;
    const own = sets.map((set) => {
      const one = fitGaussianProcess({ x, y }, { parameters: set });
      const { mean, sd, measurementSd } = predictGaussianProcess(one, point);
      return { weight: set.weight, mean: mean[0]!, surface: sd[0]! ** 2, measured: measurementSd[0]! ** 2 };
    });
    const average = (of: (one: (typeof own)[number]) => number): number =>
      own.reduce((sum, one) => sum + one.weight * of(one), 0);
    const mean = average((one) => one.mean);
    const between = average((one) => (one.mean - mean) ** 2);
    const said = predictGaussianProcess(fit, point);
    expectDigits(said.mean[0]!, mean, 9);
    expectDigits(said.sd[0]! ** 2, inflation * average((one) => one.surface) + between, 8);
    expectDigits(said.measurementSd[0]! ** 2, inflation * average((one) => one.measured) + between, 8);
  });

  test("agrees with a dense grid over length scale and noise, everything written out", () => {
    const grid: { weight: number; mean: number; surface: number; measured: number }[] = [];
    const n = x.length;
    const matern = (a: number): number => (1 + a + (a * a) / 3) * Math.exp(-a);
    const at = 0.37;
    const solve = (a: readonly (readonly number[])[], b: readonly number[]) => {
      // Gauss elimination with the determinant; positive definite, so without pivots.
      const rows = a.map((row, i) => [...row, b[i]!]);
      let logDeterminant = 0;
      for (let i = 0; i < n; i++) {
        logDeterminant += Math.log(rows[i]![i]!);
        for (let k = i + 1; k < n; k++) {
          const share = rows[k]![i]! / rows[i]![i]!;
          for (let j = i; j <= n; j++) rows[k]![j]! -= share * rows[i]![j]!;
        }
      }
      const solution = new Array<number>(n).fill(0);
      for (let i = n - 1; i >= 0; i--) {
        let sum = rows[i]![n]!;
        for (let j = i + 1; j < n; j++) sum -= rows[i]![j]! * solution[j]!;
        solution[i] = sum / rows[i]![i]!;
      }
      return { solution, logDeterminant };
    };
    const inner = (u: readonly number[], v: readonly number[]): number =>
      u.reduce((sum, value, i) => sum + value * v[i]!, 0);
    for (let logLength = -3.5; logLength < 3.5; logLength += 0.1) {
      for (let logNoise = -12; logNoise < 4; logNoise += 0.2) {
        const [length, eta] = [Math.exp(logLength), Math.exp(logNoise)];
        const correlation = (u: number, v: number): number =>
          matern((Math.sqrt(5) * Math.abs(u - v)) / length);
        const a = x.map(([u], i) => x.map(([v], j) => correlation(u!, v!) + (i === j ? eta : 0)));
        const ones = solve(a, new Array<number>(n).fill(1));
        const precision = ones.solution.reduce((sum, value) => sum + value, 0);
        const constant = inner(ones.solution, y) / precision;
        const rest = y.map((value) => value - constant);
        const alpha = solve(a, rest).solution;
        const q = inner(alpha, rest);
        const r = x.map(([u]) => correlation(u!, at));
        const lost = (1 - inner(ones.solution, r)) ** 2 / precision;
        const s2 = q / (n - 1);
        const surfaceVariance = s2 * (1 - inner(r, solve(a, r).solution) + lost);
        const logPosterior =
          -0.5 * (ones.logDeterminant + Math.log(precision) + (n - 1) * Math.log(q)) -
          0.5 * (logLength - Math.log(0.7)) ** 2 -
          0.5 * ((logNoise - Math.log(0.1)) / 2.5) ** 2;
        grid.push({
          weight: Math.exp(logPosterior),
          mean: constant + inner(r, alpha),
          surface: surfaceVariance,
          measured: surfaceVariance + s2 * eta,
        });
      }
    }
    const whole = grid.reduce((sum, { weight }) => sum + weight, 0);
    const average = (of: (one: (typeof grid)[number]) => number): number =>
      grid.reduce((sum, one) => sum + one.weight * of(one), 0) / whole;
    const mean = average((one) => one.mean);
    const between = average((one) => (one.mean - mean) ** 2);
    const said = predictGaussianProcess(fitGaussianProcess({ x, y }, { box }), [[at]]);
    const sd = Math.sqrt(average((one) => one.surface) + between);
    const measured = Math.sqrt(average((one) => one.measured) + between);
    expect(Math.abs(said.mean[0]! - mean)).toBeLessThan(0.1 * sd);
    expect(Math.abs(said.sd[0]! / sd - 1)).toBeLessThan(0.15);
    expect(Math.abs(said.measurementSd[0]! / measured - 1)).toBeLessThan(0.15);
  });

  test("is left out where the parameters are given, without priors, and with many settings", () => {
    const fit = fitGaussianProcess({ x, y });
    expect(fit.average!.length).toBeGreaterThan(5);
    expect(fitGaussianProcess({ x, y }, { parameters: fit }).average).toBeUndefined();
    expect(fitGaussianProcess({ x, y }, { priors: "none" }).average).toBeUndefined();
    const many = Array.from({ length: 61 }, (_, i) => [i]);
    const data = { x: many, y: many.map(([t]) => Math.sin(t! / 9)) };
    expect(fitGaussianProcess(data, { starts: 1 }).average).toBeUndefined();
  });
});

test("the kernel's exponential has 13 digits from 0 to the smallest number", () => {
  fc.assert(
    fc.property(fc.double({ min: 0, max: 708, noNaN: true }), (a) => {
      expect(Math.abs(expMinus(a) / Math.exp(-a) - 1)).toBeLessThan(1e-13);
    }),
  );
  expect(expMinus(0)).toBe(1);
  expect(expMinus(1e4)).toBe(0);
  expect(expMinus(Number.POSITIVE_INFINITY)).toBe(0);
});
