import { randomStream } from "../../lib/numeric/index.js";
import { fitGaussianProcess, predictGaussianProcess } from "../../lib/regression/index.js";
import { askPeer, type BenchRow, medianTime } from "./peer.js";

const FACTORS = 5;

/** 200 coupons in the unit cube, every factor with an effect. */
function coupons(): { x: number[][]; y: number[]; trend: number[] } {
  const stream = randomStream(3);
  const x = Array.from({ length: 200 }, () => Array.from({ length: FACTORS }, () => stream.uniform()));
  const y = x.map(
    ([a, b, c, d, e]) =>
      Math.sin(5 * a!) + b! * c! + Math.cos(3 * e!) + 0.5 * d! ** 2 + 0.1 * stream.normal(),
  );
  return { x, y, trend: y.map(() => 0) };
}

interface Peer {
  readonly fit_ms: number;
  readonly logLikelihood: number;
  readonly predict_ms: number;
}

/** scikit-learn on the same data: one start, its own optimiser, the same bounds. */
function askScikitLearn(x: readonly (readonly number[])[], y: readonly number[]): Peer | undefined {
  return askPeer<Peer>(
    "/usr/bin/python3",
    `
import json, time, warnings
import numpy as np
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel
warnings.simplefilter("ignore")
x = np.array(${JSON.stringify(x)}); y = np.array(${JSON.stringify(y)})
x = (x - x.min(0)) / (x.max(0) - x.min(0))
kernel = ConstantKernel(1.0, (1e-6, 1e8)) * Matern([0.5] * ${FACTORS}, (1e-2, 1e3), nu=2.5) + WhiteKernel(0.05, (1e-8, 1e4))
def timed(work):
    start = time.perf_counter(); work(); return (time.perf_counter() - start) * 1000
process = GaussianProcessRegressor(kernel, alpha=0)
fits = sorted(timed(lambda: process.fit(x, y)) for _ in range(7))
points = np.random.default_rng(1).uniform(0, 1, (10000, ${FACTORS}))
predictions = sorted(timed(lambda: process.predict(points, return_std=True)) for _ in range(3))
print(json.dumps({"fit_ms": fits[3], "logLikelihood": process.log_marginal_likelihood_value_, "predict_ms": predictions[1] * 10}))
`,
  );
}

/** Times fit and prediction against scikit-learn; throws when the two optima are not the same. */
export async function bench(): Promise<BenchRow[]> {
  const data = coupons();
  const options = { priors: "none", starts: 1 } as const;
  const peer = askScikitLearn(data.x, data.y);
  const fit = fitGaussianProcess(data, options);
  const gap = Math.abs(fit.logLikelihood - (peer?.logLikelihood ?? fit.logLikelihood));
  if (!(gap < 1e-4)) throw new Error(`the optima differ by ${gap} in log likelihood`);
  const ours = medianTime(() => fitGaussianProcess(data, options), 9);
  const many = medianTime(() => fitGaussianProcess(data), 5);
  const stream = randomStream(9);
  const points = Array.from({ length: 1e5 }, () => Array.from({ length: FACTORS }, () => stream.uniform()));
  const trend = points.map(() => 0);
  const predicting = medianTime(() => predictGaussianProcess(fit, points, trend), 3, 1);
  const peerFit = peer?.fit_ms ?? Number.NaN;
  const peerPredict = peer?.predict_ms ?? Number.NaN;
  return [
    {
      name: `Gaussian process fit, n = 200, 5 factors, one start, same optimum (gap ${gap.toExponential(0)})`,
      ours_ms: ours,
      peer: "scikit-learn",
      peer_ms: peerFit,
      ratio: ours / peerFit,
      target: "ratio <= 0.25",
    },
    {
      name: "the same with weak priors and 4 starts",
      ours_ms: many,
      peer: "scikit-learn, one start",
      peer_ms: peerFit,
      ratio: many / peerFit,
      target: "ratio <= 1",
    },
    {
      name: "Gaussian process mean and sd at 1e5 points, n = 200",
      ours_ms: predicting,
      peer: "scikit-learn (10 x 1e4)",
      peer_ms: peerPredict,
      ratio: predicting / peerPredict,
      target: "ratio <= 1",
    },
  ];
}
