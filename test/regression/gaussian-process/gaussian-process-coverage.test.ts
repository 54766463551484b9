import { describe, expect, test } from "vitest";
import {
  choleskyInPlace,
  normalQuantile,
  type RandomStream,
  randomStream,
  tQuantile,
} from "../../../lib/numeric/index.js";
import { fitGaussianProcess, predictGaussianProcess } from "../../../lib/regression/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";

const lengthScales = [0.5, 0.8];
const signalVariance = 4;
const noiseVariance = 0.05;
const box = { lower: [0, 0], upper: [1, 1] };

/** Surfaces drawn from the process itself by a dense factor written out here; the last point is kept back. */
function draw(stream: RandomStream, n: number, process = { lengthScales, noiseVariance }) {
  const m = n + 1;
  const x = Array.from({ length: m }, () => process.lengthScales.map(() => stream.uniform()));
  const l = new Float64Array(m * m);
  for (let i = 0; i < m; i++) {
    for (let j = 0; j <= i; j++) {
      const r = Math.hypot(...process.lengthScales.map((scale, k) => (x[i]![k]! - x[j]![k]!) / scale));
      const a = Math.sqrt(5) * r;
      l[i * m + j] = signalVariance * (1 + a + (a * a) / 3) * Math.exp(-a) + (i === j ? 1e-10 : 0);
    }
  }
  choleskyInPlace(l, m);
  const z = x.map(() => stream.normal());
  const surface = x.map((_, i) =>
    z.slice(0, i + 1).reduce((sum, value, j) => sum + l[i * m + j]! * value, 3),
  );
  return {
    x: x.slice(0, n),
    y: surface.slice(0, n).map((value) => value + Math.sqrt(process.noiseVariance) * stream.normal()),
    at: x[n]!,
    truth: surface[n]!,
  };
}

test("with known hyperparameters, limits hold the surface in 95 % of 1000 studies, constant estimated", () => {
  const stream = randomStream(3);
  const [share] = coverage(1000, () => {
    const { x, y, at, truth } = draw(stream, 15);
    const fit = fitGaussianProcess(
      { x, y },
      { box, parameters: { lengthScales, signalVariance, noiseVariance } },
    );
    const { mean, sd } = predictGaussianProcess(fit, [at]);
    return [Math.abs(mean[0]! - truth) <= normalQuantile(0.975) * sd[0]!];
  });
  expectNominal(share!, "limits");
}, 60_000);

/** A study of a law: settings in the unit cube, the last one kept back. */
interface Law {
  readonly dimensions: number;
  readonly sd: number;
  readonly coupons: number;
  readonly value: (row: readonly number[]) => number;
}
const laws: Readonly<Record<string, Law>> = {
  "scatter alone": { dimensions: 2, coupons: 20, sd: 0.3, value: () => 0 },
  "a wave": { dimensions: 1, coupons: 16, sd: 0.1, value: ([a]) => Math.sin(7 * a!) },
  "a step": { dimensions: 1, coupons: 14, sd: 0.1, value: ([a]) => Math.tanh(8 * (a! - 0.5)) },
  "a noisy plane": { dimensions: 2, coupons: 12, sd: 0.3, value: ([a, b]) => a! - b! },
  "a bent plane": {
    dimensions: 2,
    coupons: 24,
    sd: 0.05,
    value: ([a, b]) => 2 * a! - a! * a! + a! * b! - 0.5 * b!,
  },
  "a power law": {
    dimensions: 3,
    coupons: 30,
    sd: 0.05,
    value: ([a, b, c]) => Math.log((0.5 + a!) / Math.sqrt(0.5 + b!)) + 0.2 * c!,
  },
};
const unit = (dimensions: number) => ({
  lower: new Array<number>(dimensions).fill(0),
  upper: new Array<number>(dimensions).fill(1),
});

/** Share of studies whose limits for a new measurement hold it, and whether taking the hyperparameters as known would. */
function heldMeasurements(studies: number, draw: (stream: RandomStream) => ReturnType<typeof drawLaw>) {
  const stream = randomStream(3);
  return coverage(studies, () => {
    const { x, y, at, next } = draw(stream);
    const fit = fitGaussianProcess({ x, y }, { box: unit(at.length), starts: 2 });
    const known = fitGaussianProcess({ x, y }, { box: unit(at.length), parameters: fit });
    const holds = (from: typeof fit, factor: number): boolean => {
      const { mean, measurementSd } = predictGaussianProcess(from, [at]);
      return Math.abs(mean[0]! - next) <= factor * measurementSd[0]!;
    };
    return [holds(fit, tQuantile(0.975, fit.df)), holds(known, normalQuantile(0.975))];
  });
}

function drawLaw({ dimensions, sd, coupons, value }: Law, stream: RandomStream) {
  const x = Array.from({ length: coupons + 1 }, () =>
    Array.from({ length: dimensions }, () => stream.uniform()),
  );
  const y = x.map((row) => value(row) + sd * stream.normal());
  return { x: x.slice(0, -1), y: y.slice(0, -1), at: x.at(-1)!, next: y.at(-1)! };
}

function drawProcess(scales: number[], sd: number, n: number, stream: RandomStream) {
  const { x, y, at, truth } = draw(stream, n, { lengthScales: scales, noiseVariance: sd * sd });
  return { x, y, at, next: truth + sd * stream.normal() };
}

describe("limits for a new measurement with estimated hyperparameters", () => {
  test.each([
    { scales: [0.5], n: 8 },
    { scales: [0.15], n: 16 },
    { scales: [0.5, 0.8], n: 12 },
    { scales: [0.2, 0.2], n: 30 },
    { scales: [0.6, 0.6, 0.6], n: 12 },
  ])(
    "hold it where the law is a process, length scales $scales, $n coupons",
    ({ scales, n }) => {
      const [share, known] = heldMeasurements(800, (stream) => drawProcess(scales, 0.2, n, stream));
      expectNominal(share!, "limits");
      expect(known).toBeLessThan(0.935);
    },
    60_000,
  );

  // A law smoother than the priors expect is held more often than promised, the more the fewer the coupons.
  test.each(Object.keys(laws))(
    "hold it where the law is no process: %s",
    (name) => {
      const [share] = heldMeasurements(500, (stream) => drawLaw(laws[name]!, stream));
      expect(share).toBeGreaterThanOrEqual(0.935);
      expect(share).toBeLessThanOrEqual(0.98);
    },
    60_000,
  );
});
