import { describe, expect, test } from "vitest";
import {
  mean,
  normalCdf,
  normalPdf,
  randomStream,
  sliceStep,
  standardDeviation,
} from "../../../lib/numeric/index.js";

/** Runs a chain of one parameter and returns every `thin`-th draw. */
function chain(logLikelihood: (z: number) => number, draws: number, thin: number): readonly number[] {
  const stream = randomStream(11);
  const z = Float64Array.of(0);
  let level = logLikelihood(0);
  const found: number[] = [];
  for (let step = 1; found.length < draws; step++) {
    level = sliceStep({ z, level, stream, logLikelihood: (trial) => logLikelihood(trial[0]!) });
    if (step % thin === 0) found.push(z[0]!);
  }
  return found;
}

describe("sliceStep", () => {
  test("draws the posterior of a mean under a normal prior (conjugate: precisions add)", () => {
    const sd = 0.5;
    const readings = [1.2, 0.7, 1.6, 0.9];
    const draws = chain((z) => readings.reduce((sum, x) => sum - 0.5 * ((x - z) / sd) ** 2, 0), 4000, 8);
    const precision = 1 + readings.length / sd ** 2;
    const exact = mean(readings) * (readings.length / sd ** 2 / precision);
    // Standard errors of the mean and of the standard deviation of 4000 draws: 0.004 and 0.003.
    expect(Math.abs(mean(draws) - exact)).toBeLessThan(0.015);
    expect(Math.abs(standardDeviation(draws) - Math.sqrt(1 / precision))).toBeLessThan(0.012);
  });

  test("draws a truncated normal when the likelihood is all or nothing", () => {
    const beyond = chain((z) => (z >= -0.5 ? 0 : -1e9), 4000, 6);
    // Mean of a standard normal above a: phi(a) / (1 - Phi(a)).
    const exact = normalPdf(-0.5) / (1 - normalCdf(-0.5));
    expect(Math.min(...beyond)).toBeGreaterThanOrEqual(-0.5);
    expect(Math.abs(mean(beyond) - exact)).toBeLessThan(0.04);
  });

  test("returns the log-likelihood of where it stands, and ends when nothing else is as good", () => {
    const stream = randomStream(2);
    const z = Float64Array.of(0.3, -0.2);
    const spike = (trial: Float64Array): number =>
      trial[0] === 0.3 && trial[1] === -0.2 ? 0 : Number.NEGATIVE_INFINITY;
    sliceStep({ z, level: 0, stream, logLikelihood: spike });
    expect(Math.abs(z[0]! - 0.3)).toBeLessThan(1e-8);
    const bowl = (trial: Float64Array): number => -((trial[0]! - 1) ** 2) - trial[1]! ** 2;
    const level = sliceStep({ z, level: bowl(z), stream, logLikelihood: bowl });
    expect(level).toBe(bowl(z));
  });
});
