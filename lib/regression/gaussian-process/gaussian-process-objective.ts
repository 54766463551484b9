import { choleskyInPlace } from "../../numeric/index.js";
import { addLogPrior, type ProcessLikelihood, type ProcessPriors } from "./gaussian-process-likelihood.js";

/** Value and gradient of what a search for hyperparameters minimises. */
export type ProcessObjective = (theta: Float64Array, gradient: Float64Array) => number;

/** Minus the log likelihood, minus the log prior where there is one. */
export function negativeLogPosterior(
  likelihood: ProcessLikelihood,
  priors: ProcessPriors | undefined,
): ProcessObjective {
  return (theta, gradient) => {
    let value = likelihood.evaluate(theta, gradient).logLikelihood;
    if (priors !== undefined) value += addLogPrior(priors, theta, gradient);
    for (let k = 0; k < gradient.length; k++) gradient[k] = -gradient[k]!;
    return -value;
  };
}

/** Hessian by forward differences of the gradient, times a factor; a ridge is added until it is positive definite. */
export function hessianAt(objective: ProcessObjective, theta: Float64Array, factor: number): Float64Array {
  const n = theta.length;
  const step = 1e-4;
  const base = new Float64Array(n);
  const moved = new Float64Array(n);
  const hessian = new Float64Array(n * n);
  const at = theta.slice();
  objective(at, base);
  for (let j = 0; j < n; j++) {
    at[j] = theta[j]! + step;
    objective(at, moved);
    at[j] = theta[j]!;
    for (let i = 0; i < n; i++) {
      const half = (0.5 * factor * (moved[i]! - base[i]!)) / step;
      hessian[i * n + j]! += half;
      hessian[j * n + i]! += half;
    }
  }
  for (let ridge = 1e-3; ridge < 1e9 && !choleskyInPlace(hessian.slice(), n); ridge *= 10) {
    for (let i = 0; i < n; i++) hessian[i * n + i]! += ridge;
  }
  return hessian;
}
