import { type Finding, onlyDefined, requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import { AVERAGED_UP_TO, averagedProcesses, type WeightedProcess } from "./gaussian-process-average.js";
import {
  boxOf,
  checkProcessObservations,
  gatherSettings,
  type InputBox,
  type ProcessObservations,
  type SettingMeans,
} from "./gaussian-process-data.js";
import {
  addLogPrior,
  ProcessLikelihood,
  type ProcessParameters,
  type ProcessPriors,
  type ProcessState,
} from "./gaussian-process-likelihood.js";
import { searchProcess } from "./gaussian-process-search.js";

export interface GaussianProcessOptions {
  /** Scaled to the unit cube. Default: the range of the data. */
  readonly box?: InputBox;
  /** `weak` (default): see {@link WEAK_PROCESS_PRIORS}; `none`: the pure likelihood. */
  readonly priors?: ProcessPriors | "weak" | "none";
  /** Starts of the search. Default 4. */
  readonly starts?: number;
  /** Seed of all starts but the first. Default 1. */
  readonly seed?: number;
  /** Condition on these instead of estimating them. */
  readonly parameters?: ProcessParameters;
}

export interface GaussianProcessFit extends ProcessParameters {
  readonly status: "converged" | "max-iterations" | "non-finite" | "given";
  readonly box: InputBox;
  /** Estimated constant; 0 when the fit was given a trend. */
  readonly constant: number;
  readonly hasTrend: boolean;
  /** The priors that were used; none for the pure likelihood. */
  readonly priors?: ProcessPriors;
  /**
   * Sets of hyperparameters with their posterior weights, which predictions are averaged over. Absent where the parameters
   * were given, where there are no priors, and with more than 60 settings, which determine them.
   */
  readonly average?: readonly WeightedProcess[];
  /** Log marginal likelihood at these parameters. */
  readonly logLikelihood: number;
  /** Log likelihood plus log prior, the maximised quantity. */
  readonly objective: number;
  /** Degrees of freedom left for the variance: for t rather than normal limits. */
  readonly df: number;
  /** Added to the diagonal of the correlation matrix; 0 unless settings nearly coincide. */
  readonly jitter: number;
  readonly evaluations: number;
  readonly startsTried: number;
  /** Starts whose ends lie within 1e-3 of the best objective. */
  readonly startsAgreeing: number;
  readonly observations: ProcessObservations;
  readonly findings: readonly Finding[];
}

/**
 * Weak beliefs that keep a dozen coupons from running away: length scales around 0.7 of the box (a factor
 * of 7 either way is still plausible), noise around a tenth of the signal variance (a factor of 150).
 */
export const WEAK_PROCESS_PRIORS: ProcessPriors = {
  lengthScale: { median: 0.7, logSd: 1 },
  noiseRatio: { median: 0.1, logSd: 2.5 },
};

/** Whether what the process is to explain is no larger than the rounding of the responses. */
function lacksSpread({ y, trend }: ProcessObservations): boolean {
  const left = y.map((value, i) => value - (trend?.[i] ?? 0));
  const range = Math.max(...left) - Math.min(...left);
  const size = y.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return range <= 1000 * Number.EPSILON * size;
}

function findingsFor({
  observations,
  data,
  state,
  lengthScales,
}: {
  readonly observations: ProcessObservations;
  readonly data: SettingMeans;
  readonly state: ProcessState;
  readonly lengthScales: readonly number[];
}): Finding[] {
  const findings: Finding[] = [];
  if (data.total === data.counts.length) {
    findings.push({
      code: "no-repeats",
      severity: "info",
      message: "no setting was repeated: noise and fine detail of the surface are told apart by shape alone",
      advice: "Repeat two or three coupons.",
    });
  }
  if (state.jitter > 1e-8) {
    findings.push({
      code: "near-duplicates",
      severity: "warning",
      message: `settings nearly coincide: the correlation matrix needed ${significant(state.jitter, 1)} on its diagonal`,
      advice: "Snap settings to their steps, so that repeats are recognised as repeats.",
    });
  }
  if (lacksSpread(observations)) {
    findings.push({
      code: "no-spread",
      severity: "warning",
      message:
        "the responses are equal but for rounding: the surface is flat and its standard deviations tell nothing of what a further coupon would show",
      advice: "Measure more finely, or check that the responses were not copied.",
    });
  }
  const flat = lengthScales.flatMap((scale, k) => (scale > 20 ? [k + 1] : []));
  if (flat.length > 0) {
    findings.push({
      code: "no-effect-seen",
      severity: "info",
      message: `the surface does not move with column ${flat.join(", ")} within the box`,
    });
  }
  return findings;
}

/**
 * Gaussian process with Matern 5/2 covariance, a length scale per column, and noise from the repeats.
 *
 *     y = trend(x) + constant + z(x) + noise,   cov z = s^2 (1 + a + a^2/3) exp(-a),   a = sqrt(5) |dx / l|
 *
 * Give the trend of a fitted physical model and the process carries only what the model misses; without
 * one a constant is estimated. Hyperparameters maximise the marginal likelihood times weak priors. Far from
 * every coupon it falls back to the trend: that is honest, not a prediction. Work grows with
 * the cube of the number of distinct settings: at most about 1000.
 *
 * @throws {BeadbenchError} `not-enough-data` under 2 rows, `bad-argument` for rows that do not fit together
 * @source C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006), 2.2, 4.2, 5.4
 */
export function fitGaussianProcess(
  data: ProcessObservations,
  options: GaussianProcessOptions = {},
): GaussianProcessFit {
  checkProcessObservations(data);
  const box = options.box ?? boxOf(data.x);
  const dimensions = data.x[0]!.length;
  requireThat(
    box.lower.length === dimensions && box.lower.every((low, d) => low < box.upper[d]!),
    `fitGaussianProcess: the box needs ${dimensions} sides, lower below upper`,
  );
  const starts = requireCount("fitGaussianProcess: starts", options.starts ?? 4, { min: 1 });
  const priors =
    options.priors === "none"
      ? undefined
      : options.priors === undefined || options.priors === "weak"
        ? WEAK_PROCESS_PRIORS
        : options.priors;
  const settings = gatherSettings(data, box);
  const hasTrend = data.trend !== undefined;
  const given = options.parameters;
  const likelihood = new ProcessLikelihood(settings, hasTrend ? 0 : undefined, given?.signalVariance);
  const end =
    given === undefined
      ? searchProcess({ likelihood, settings, priors, starts, seed: options.seed ?? 1 })
      : undefined;
  const theta = end?.theta ?? thetaOf(given!, dimensions);
  const state = likelihood.evaluate(theta);
  const prior = priors === undefined ? 0 : addLogPrior(priors, theta, new Float64Array(theta.length));
  const lengthScales = Array.from(theta.subarray(0, dimensions), Math.exp);
  const isAveraged =
    end !== undefined &&
    end.status !== "non-finite" &&
    priors !== undefined &&
    settings.counts.length <= AVERAGED_UP_TO;
  const average = isAveraged ? averagedProcesses({ likelihood, means: settings, priors, theta }) : [];
  return {
    status: end?.status ?? "given",
    lengthScales,
    signalVariance: state.signalVariance,
    noiseVariance: state.signalVariance * Math.exp(theta[dimensions]!),
    box,
    constant: state.constant,
    hasTrend,
    ...onlyDefined({ priors }),
    ...(average.length === 0 ? {} : { average }),
    logLikelihood: state.logLikelihood,
    objective: state.logLikelihood + prior,
    df: data.x.length - (hasTrend ? 0 : 1),
    jitter: state.jitter,
    evaluations: end?.evaluations ?? 1,
    startsTried: end?.startsTried ?? 0,
    startsAgreeing: end?.startsAgreeing ?? 0,
    observations: data,
    findings: findingsFor({ observations: data, data: settings, state, lengthScales }),
  };
}

/** theta of the likelihood for given parameters. */
export function thetaOf(parameters: ProcessParameters, dimensions: number): Float64Array {
  const { lengthScales, signalVariance, noiseVariance } = parameters;
  requireThat(
    lengthScales.length === dimensions,
    `fitGaussianProcess: ${dimensions} columns need as many length scales, got ${lengthScales.length}`,
  );
  for (const scale of lengthScales) requireNumber("length scale", scale, { above: 0 });
  requireNumber("signal variance", signalVariance, { above: 0 });
  requireNumber("noise variance", noiseVariance, { above: 0 });
  return Float64Array.from([...lengthScales.map(Math.log), Math.log(noiseVariance / signalVariance)]);
}
