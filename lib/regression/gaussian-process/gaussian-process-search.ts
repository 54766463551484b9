import {
  type MinimiseResult,
  minimiseBounded,
  randomStream,
  SOBOL_MAX_DIMENSIONS,
  sobolPoints,
} from "../../numeric/index.js";
import type { SettingMeans } from "./gaussian-process-data.js";
import { ProcessLikelihood, type ProcessPriors } from "./gaussian-process-likelihood.js";
import { hessianAt, negativeLogPosterior } from "./gaussian-process-objective.js";

/** Where a search for hyperparameters ended. */
export interface ProcessSearch {
  readonly theta: Float64Array;
  readonly status: MinimiseResult["status"];
  /** Of the likelihood with all settings. */
  readonly evaluations: number;
  readonly startsTried: number;
  readonly startsAgreeing: number;
}

/** Length scales as shares of the box; noise over signal variance. */
const LENGTH_BOUNDS = [1e-2, 1e3] as const;
const NOISE_BOUNDS = [1e-8, 1e4] as const;
/** From this many settings on the starts are tried on half of them. */
const COARSE_FROM = 60;
/** Largest slope of the log posterior at the end, and the rounding of its value. */
const EXACT = { gradientTolerance: 1e-5, valueTolerance: 1e-11 };
const CLOSE = { gradientTolerance: 1e-2, valueTolerance: 1e-9 };

/** The first start is moderate; the others spread over length scales 0.1 to 3 and noise ratios 1e-4 to 1. */
function startsFor(dimensions: number, count: number, seed: number): number[][] {
  const moderate = [...new Array<number>(dimensions).fill(Math.log(0.5)), Math.log(0.05)];
  const others = sobolPoints(count - 1, Math.min(dimensions + 1, SOBOL_MAX_DIMENSIONS), seed).map((u) =>
    moderate.map((_, k) => {
      const share = u[k % u.length]!;
      return k < dimensions ? Math.log(0.1) + share * Math.log(30) : Math.log(1e-4) * (1 - share);
    }),
  );
  return [moderate, ...others];
}

/** Half of the settings, drawn at random; the scatter within repeats is shared out evenly. */
function halve(settings: SettingMeans, seed: number): SettingMeans {
  const { points, dimensions, counts, means, within, total } = settings;
  const m = counts.length;
  const all = Array.from({ length: m }, (_, i) => i);
  const kept = randomStream(seed)
    .split("coarse")
    .shuffle(all)
    .slice(0, Math.ceil(m / 2));
  const keptTotal = kept.reduce((sum, i) => sum + counts[i]!, 0);
  return {
    points: Float64Array.from(
      kept.flatMap((i) => [...points.subarray(i * dimensions, (i + 1) * dimensions)]),
    ),
    dimensions,
    counts: Float64Array.from(kept, (i) => counts[i]!),
    means: Float64Array.from(kept, (i) => means[i]!),
    within: total > m ? (within * (keptTotal - kept.length)) / (total - m) : 0,
    total: keptTotal,
    settingOf: [],
  };
}

/**
 * Searches the hyperparameters from several starts. With many settings the starts run on half of them, at
 * an eighth of the cost, and only the best end climbs on with all, knowing the curvature.
 */
export function searchProcess({
  likelihood,
  settings,
  priors,
  starts,
  seed,
}: {
  readonly likelihood: ProcessLikelihood;
  readonly settings: SettingMeans;
  readonly priors: ProcessPriors | undefined;
  readonly starts: number;
  readonly seed: number;
}): ProcessSearch {
  const { dimensions, counts } = settings;
  const bounds = (k: 0 | 1): number[] => [
    ...new Array<number>(dimensions).fill(Math.log(LENGTH_BOUNDS[k])),
    Math.log(NOISE_BOUNDS[k]),
  ];
  const box = { lower: bounds(0), upper: bounds(1) };
  const objective = negativeLogPosterior(likelihood, priors);
  const coarse = counts.length >= COARSE_FROM;
  const trial = coarse
    ? negativeLogPosterior(new ProcessLikelihood(halve(settings, seed), likelihood.fixedConstant), priors)
    : objective;
  const ends = startsFor(dimensions, starts, seed)
    .map((start) => minimiseBounded(trial, start, { ...box, ...(coarse ? CLOSE : EXACT) }))
    .filter((end) => Number.isFinite(end.value))
    .sort((a, b) => a.value - b.value);
  const best = ends[0];
  if (best === undefined) {
    const theta = Float64Array.from(startsFor(dimensions, 1, seed)[0]!);
    return { theta, status: "non-finite", evaluations: starts, startsTried: starts, startsAgreeing: 0 };
  }
  const startsAgreeing = ends.filter((end) => end.value < best.value + 1e-3).length;
  const agreement = { startsTried: starts, startsAgreeing };
  if (!coarse) {
    const evaluations = ends.reduce((sum, end) => sum + end.evaluations, 0);
    return { theta: Float64Array.from(best.x), status: best.status, evaluations, ...agreement };
  }
  const hessian = hessianAt(trial, Float64Array.from(best.x), 2);
  const end = minimiseBounded(objective, best.x, { ...box, ...CLOSE, hessian });
  return { theta: Float64Array.from(end.x), status: end.status, evaluations: end.evaluations, ...agreement };
}
