import {
  choleskyInPlace,
  choleskyLogDeterminant,
  choleskySolve,
  normalQuantile,
  SOBOL_MAX_DIMENSIONS,
  sobolPoints,
  solveLowerTransposed,
} from "../../numeric/index.js";
import type { SettingMeans } from "./gaussian-process-data.js";
import {
  addLogPrior,
  type ProcessLikelihood,
  type ProcessParameters,
  type ProcessPriors,
} from "./gaussian-process-likelihood.js";
import { hessianAt, negativeLogPosterior } from "./gaussian-process-objective.js";

/** One of the sets of hyperparameters that predictions are averaged over. */
export interface WeightedProcess extends ProcessParameters {
  /** The weights of a fit sum to 1. */
  readonly weight: number;
  readonly constant: number;
}

/** Up to this many settings hyperparameters are loosely known, and averaging is quick. */
export const AVERAGED_UP_TO = 60;
/** Sets looked at. 64 held no more surfaces in simulated studies than 16. */
const SETS = 16;
/** They are drawn this much wider than the posterior's own curve says, so that its tails are seen. */
const WIDER = 1.6;
/** Least curvature assumed: without it a length scale the data say nothing of would count as boundless. */
const LEAST_CURVATURE = 0.1;
/** Sets with less of the weight are left out. */
const NEGLIGIBLE = 1e-3;
const SEED = 1;

/** The Hessian of minus the log posterior, with a least curvature. */
export function posteriorCurvature(
  likelihood: ProcessLikelihood,
  priors: ProcessPriors | undefined,
  theta: Float64Array,
): Float64Array {
  const n = theta.length;
  const hessian = hessianAt(negativeLogPosterior(likelihood, priors), theta, 1);
  for (let k = 0; k < n; k++) hessian[k * n + k]! += LEAST_CURVATURE;
  return hessian;
}

/**
 * Sets of hyperparameters with the weights of their posterior, constant and signal variance integrated out under flat and
 * 1 / s^2 priors: importance sampling about the mode from a normal, its points spread evenly.
 *
 *     ln p(theta | y) = -[ln |A| + ln(1' A^-1 1) + (N - m) ln eta + df ln Q] / 2 + ln prior,   Q = r' A^-1 r + within / eta
 *
 * @param theta - the mode
 * @returns an empty list where no set could be evaluated
 * @source Rasmussen and Williams (2006) section 5.2; M. S. Handcock and M. L. Stein, Technometrics 35 (1993) 403-410
 */
export function averagedProcesses({
  likelihood,
  means: { counts, total, dimensions },
  priors,
  theta,
}: {
  readonly likelihood: ProcessLikelihood;
  readonly means: SettingMeans;
  readonly priors: ProcessPriors;
  readonly theta: Float64Array;
}): WeightedProcess[] {
  const n = theta.length;
  const m = counts.length;
  const hasConstant = likelihood.fixedConstant === undefined;
  const df = total - (hasConstant ? 1 : 0);
  const factor = posteriorCurvature(likelihood, priors, theta);
  if (n > SOBOL_MAX_DIMENSIONS || !choleskyInPlace(factor, n)) return [];
  const ones = new Float64Array(m);
  const drawn = sobolPoints(SETS, n, SEED).flatMap((point) => {
    const z = Float64Array.from(point, (u) => WIDER * normalQuantile(u));
    const logDensity = -0.5 * z.reduce((sum, value) => sum + (value / WIDER) ** 2, 0);
    // L'^-1 z has the covariance (L L')^-1 of the posterior's curve.
    solveLowerTransposed(factor, n, z);
    const at = theta.map((value, k) => value + z[k]!);
    const { logLikelihood, signalVariance, constant } = likelihood.evaluate(at);
    if (!Number.isFinite(logLikelihood)) return [];
    ones.fill(1);
    choleskySolve(likelihood.factor, m, ones);
    const precision = hasConstant ? Math.log(ones.reduce((sum, value) => sum + value, 0)) : 0;
    const logPosterior =
      -0.5 *
        (choleskyLogDeterminant(likelihood.factor, m) +
          precision +
          (total - m) * at[dimensions]! +
          df * Math.log(signalVariance)) +
      addLogPrior(priors, at, new Float64Array(n));
    const lengthScales = Array.from(at.subarray(0, dimensions), Math.exp);
    const noiseVariance = signalVariance * Math.exp(at[dimensions]!);
    return [{ lengthScales, signalVariance, noiseVariance, constant, logWeight: logPosterior - logDensity }];
  });
  const top = drawn.reduce((most, { logWeight }) => Math.max(most, logWeight), Number.NEGATIVE_INFINITY);
  const weighted = drawn.map(({ logWeight, ...set }) => ({ ...set, weight: Math.exp(logWeight - top) }));
  const sum = (list: readonly WeightedProcess[]): number => list.reduce((s, { weight }) => s + weight, 0);
  const whole = sum(weighted);
  const kept = weighted.filter(({ weight }) => weight >= NEGLIGIBLE * whole);
  const share = sum(kept);
  return kept.map((set) => ({ ...set, weight: set.weight / share }));
}
