import { choleskyInPlace, choleskyInverse, choleskySolve } from "../../numeric/index.js";
import type { GaussianProcessFit } from "./gaussian-process.js";
import { posteriorCurvature } from "./gaussian-process-average.js";
import { ProcessLikelihood } from "./gaussian-process-likelihood.js";
import type { RestoredProcess } from "./gaussian-process-restore.js";

/**
 * How a predicted mean moves with the hyperparameters theta = (ln l_1 ..., ln eta), and how well these are
 * known.
 */
export interface HyperparameterAllowance {
  /** Covariance of theta, row by row: the inverse Hessian of the log posterior. */
  readonly covariance: Float64Array;
  /** d alpha / d theta_j per hyperparameter. */
  readonly alphaSlopes: readonly Float64Array[];
  /** d constant / d theta_j. */
  readonly constantSlopes: Float64Array;
}

const SQRT5 = Math.sqrt(5);

function covarianceOf(fit: GaussianProcessFit, { settings, theta }: RestoredProcess): Float64Array {
  const likelihood = new ProcessLikelihood(settings, fit.hasTrend ? 0 : undefined);
  const n = theta.length;
  const curvature = posteriorCurvature(likelihood, fit.priors, theta);
  choleskyInPlace(curvature, n);
  const covariance = new Float64Array(n * n);
  choleskyInverse(curvature, n, covariance);
  return covariance;
}

/** (dA / d theta_j) v: for a length scale the radial part times its squared distance, for eta the noise. */
function derivativeTimes(process: RestoredProcess, j: number, v: Float64Array): Float64Array {
  const { settings, theta } = process;
  const { points, dimensions: d, counts } = settings;
  const m = counts.length;
  const out = new Float64Array(m);
  if (j === d) {
    for (let i = 0; i < m; i++) out[i] = (Math.exp(theta[d]!) / counts[i]!) * v[i]!;
    return out;
  }
  const inverse = Float64Array.from({ length: d }, (_, k) => Math.exp(-theta[k]!));
  for (let i = 0; i < m; i++) {
    for (let other = 0; other < i; other++) {
      let sum = 0;
      for (let k = 0; k < d; k++) sum += ((points[i * d + k]! - points[other * d + k]!) * inverse[k]!) ** 2;
      const a = SQRT5 * Math.sqrt(sum);
      const along = ((points[i * d + j]! - points[other * d + j]!) * inverse[j]!) ** 2;
      const value = (5 / 3) * (1 + a) * Math.exp(-a) * along;
      out[i]! += value * v[other]!;
      out[other]! += value * v[i]!;
    }
  }
  return out;
}

/**
 * The allowance for estimated hyperparameters: to first order the variance of a predicted mean grows by
 * g' C g, g its slopes by theta and C their covariance: enough where many settings determine the hyperparameters.
 *
 *     d alpha = -A^-1 (dA alpha + 1 d constant),   d constant = -(1'A^-1 dA alpha) / (1'A^-1 1)
 *
 * @returns undefined for a process whose hyperparameters were given, or are averaged over
 * @source after D. L. Zimmerman and N. Cressie, Ann. Inst. Statist. Math. 44 (1992) 27-43
 */
export function hyperparameterAllowance(
  fit: GaussianProcessFit,
  process: RestoredProcess,
): HyperparameterAllowance | undefined {
  if (fit.status === "given" || fit.average !== undefined) return undefined;
  const { theta, factor, alpha } = process;
  const m = alpha.length;
  const ones = new Float64Array(m).fill(1);
  choleskySolve(factor, m, ones);
  const total = ones.reduce((sum, value) => sum + value, 0);
  const constantSlopes = new Float64Array(theta.length);
  const alphaSlopes = Array.from(theta, (_, j) => {
    const change = derivativeTimes(process, j, alpha);
    if (!fit.hasTrend)
      constantSlopes[j] = -change.reduce((sum, value, i) => sum + value * ones[i]!, 0) / total;
    for (let i = 0; i < m; i++) change[i] = -change[i]! - constantSlopes[j]!;
    choleskySolve(factor, m, change);
    return change;
  });
  return { covariance: covarianceOf(fit, process), alphaSlopes, constantSlopes };
}
