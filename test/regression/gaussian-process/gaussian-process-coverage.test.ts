import { expect, test } from "vitest";
import { choleskyInPlace, normalQuantile, randomStream, tQuantile } from "../../../lib/numeric/index.js";
import { fitGaussianProcess, predictGaussianProcess } from "../../../lib/regression/index.js";
import { coverage, expectNominal } from "../../support/coverage.js";

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
}, 60_000);

// Theory promises no exact share with estimated hyperparameters. With weak priors and the first-order
// allowance 1000 studies of 12 to 50 coupons gave 92.3 to 96.1 % for nominal 95 %; without priors 89 to
// 93.5 %; taking the hyperparameters as known 90 to 94 %.
test("with estimated hyperparameters, weak priors and the allowance keep nearly all of the 95 %", () => {
  const stream = randomStream(3);
  const [share, asKnown] = coverage(400, () => {
    const { x, y, at, truth } = draw(stream, 20);
    const fit = fitGaussianProcess({ x, y }, { box, starts: 1 });
    const { mean, sd } = predictGaussianProcess(fit, [at]);
    const known = predictGaussianProcess(fitGaussianProcess({ x, y }, { box, parameters: fit }), [at]);
    const reach = tQuantile(0.975, fit.df);
    return [
      Math.abs(mean[0]! - truth) <= reach * sd[0]!,
      Math.abs(known.mean[0]! - truth) <= normalQuantile(0.975) * known.sd[0]!,
    ];
  });
  expect(share!).toBeGreaterThan(0.92);
  expect(share!).toBeLessThan(0.97);
  expect(share!).toBeGreaterThan(asKnown!);
}, 60_000);
