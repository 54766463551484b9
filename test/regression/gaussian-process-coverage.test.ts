import { expect, test } from "vitest";
import { choleskyInPlace, normalQuantile, randomStream, tQuantile } from "../../lib/numeric/index.js";
import { fitGaussianProcess, predictGaussianProcess } from "../../lib/regression/index.js";
import { coverage, expectNominal } from "../support/coverage.js";

const lengthScales = [0.5, 0.8];
const signalVariance = 4;
const noiseVariance = 0.05;
const box = { lower: [0, 0], upper: [1, 1] };

/** Surfaces drawn from the process itself by a dense factor written out here; the last point is kept back. */
function draw(stream: ReturnType<typeof randomStream>, n: number) {
  const m = n + 1;
  const x = Array.from({ length: m }, () => [stream.uniform(), stream.uniform()]);
  const l = new Float64Array(m * m);
  for (let i = 0; i < m; i++) {
    for (let j = 0; j <= i; j++) {
      const r = Math.hypot(...lengthScales.map((scale, k) => (x[i]![k]! - x[j]![k]!) / scale));
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
    y: surface.slice(0, n).map((value) => value + Math.sqrt(noiseVariance) * stream.normal()),
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
});

// Theory promises nothing with estimated hyperparameters: limits that take them as known are too narrow.
// Weak priors and t limits leave about 90 to 93 % of a nominal 95 %; the pure likelihood some 85 to 91 %.
test("with estimated hyperparameters weak priors keep most of the coverage, more than the pure likelihood", () => {
  const stream = randomStream(3);
  const [weak, pure] = coverage(250, () => {
    const { x, y, at, truth } = draw(stream, 12);
    return (["weak", "none"] as const).map((priors) => {
      const fit = fitGaussianProcess({ x, y }, { box, priors, starts: 1 });
      const { mean, sd } = predictGaussianProcess(fit, [at]);
      return Math.abs(mean[0]! - truth) <= tQuantile(0.975, fit.df) * sd[0]!;
    });
  });
  expect(weak!).toBeGreaterThan(0.87);
  expect(weak!).toBeLessThan(0.965);
  expect(weak!).toBeGreaterThan(pure!);
});
