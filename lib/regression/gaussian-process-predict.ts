import { requireThat } from "../errors/index.js";
import { choleskyInverse, choleskySolve, solveLower, solveLowerRows } from "../numeric/index.js";
import { type GaussianProcessFit, thetaOf } from "./gaussian-process.js";
import { gatherSettings, type SettingMeans, scaleRows } from "./gaussian-process-data.js";
import { ProcessLikelihood } from "./gaussian-process-likelihood.js";

/** The surface at some points; `sd` is of the surface itself, without the noise of a measurement. */
export interface ProcessPrediction {
  readonly mean: readonly number[];
  readonly sd: readonly number[];
}

/** Points per block: the cross-covariances of a block stay in the processor's cache. */
const BLOCK = 64;
const SQRT5 = Math.sqrt(5);

interface Restored {
  readonly settings: SettingMeans;
  readonly factor: Float64Array;
  readonly alpha: Float64Array;
  /** Turns the maximum-likelihood variance into the unbiased one: N / df. */
  readonly inflation: number;
}

function restore(fit: GaussianProcessFit): Restored {
  const settings = gatherSettings(fit.observations, fit.box);
  const likelihood = new ProcessLikelihood(settings, fit.constant, fit.signalVariance);
  likelihood.evaluate(thetaOf(fit, settings.dimensions));
  const { factor, alpha } = likelihood;
  return { settings, factor, alpha, inflation: fit.status === "given" ? 1 : settings.total / fit.df };
}

/** Multiplies each column of rows x columns numbers by a factor of its own. */
function scaleColumns(values: Float64Array, factors: readonly number[]): Float64Array {
  return values.map((value, i) => value * factors[i % factors.length]!);
}

/**
 * Prepares a fit for prediction once and returns the function that predicts: use it where many batches of
 * points are asked of one fit.
 *
 * @returns `(points, trend?)`; `trend` holds the trend at each point, for a fit that was given one
 */
export function gaussianProcessPredictor(
  fit: GaussianProcessFit,
): (points: readonly (readonly number[])[], trend?: readonly number[]) => ProcessPrediction {
  const { settings, factor, alpha, inflation } = restore(fit);
  const { dimensions: d, counts } = settings;
  const m = counts.length;
  const perLength = fit.lengthScales.map((scale) => 1 / scale);
  const at = scaleColumns(settings.points, perLength);
  const variance = fit.signalVariance * inflation;
  // L^-1 1 and 1' A^-1 1, for the uncertainty of the constant.
  const ones = new Float64Array(m).fill(fit.hasTrend ? 0 : 1);
  solveLower(factor, m, ones);
  const constantPrecision = ones.reduce((sum, value) => sum + value * value, 0);
  const cross = new Float64Array(BLOCK * m);

  /** Cross-correlations of `count` points from `first` on, one row per point. */
  const correlate = (points: Float64Array, first: number, count: number): void => {
    for (let b = 0; b < count; b++) {
      const p = (first + b) * d;
      for (let i = 0; i < m; i++) {
        let sum = 0;
        for (let k = 0; k < d; k++) {
          const difference = points[p + k]! - at[i * d + k]!;
          sum += difference * difference;
        }
        const a = SQRT5 * Math.sqrt(sum);
        cross[b * m + i] = (1 + a + (a * a) / 3) * Math.exp(-a);
      }
    }
  };
  /** Product of row b of the block with a vector. */
  const product = (b: number, vector: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < m; i++) sum += cross[b * m + i]! * vector[i]!;
    return sum;
  };

  return (points, trend) => {
    requireThat(
      points.every((point) => point.length === d),
      `predictGaussianProcess: every point needs ${d} values`,
    );
    requireThat(
      fit.hasTrend === (trend !== undefined) && (trend ?? points).length === points.length,
      fit.hasTrend
        ? `predictGaussianProcess: the fit stands on a trend: give its value at each of the ${points.length} points`
        : "predictGaussianProcess: the fit has no trend, leave it out",
    );
    const scaled = scaleColumns(scaleRows(points, fit.box), perLength);
    const means = new Array<number>(points.length);
    const sds = new Array<number>(points.length);
    for (let first = 0; first < points.length; first += BLOCK) {
      const count = Math.min(BLOCK, points.length - first);
      correlate(scaled, first, count);
      for (let b = 0; b < count; b++) {
        means[first + b] = fit.constant + product(b, alpha) + (trend?.[first + b] ?? 0);
      }
      solveLowerRows(factor, m, cross, count);
      for (let b = 0; b < count; b++) {
        const explained = product(b, cross.subarray(b * m, (b + 1) * m));
        const lost = fit.hasTrend ? 0 : (1 - product(b, ones)) ** 2 / constantPrecision;
        sds[first + b] = Math.sqrt(variance * Math.max(0, 1 - explained + lost));
      }
    }
    return { mean: means, sd: sds };
  };
}

/**
 * Mean and standard deviation of the surface at each point. For a new measurement add
 * `fit.noiseVariance` to the squared `sd`. The variance carries the uncertainty of the constant and is
 * scaled from maximum likelihood to unbiased; for limits take t with `fit.df`.
 *
 * @param points - in the unit of the fit's rows
 * @param trend - the trend at each point, exactly when the fit was given one
 * @throws {BeadbenchError} `bad-argument` for points of another width or a missing trend
 */
export function predictGaussianProcess(
  fit: GaussianProcessFit,
  points: readonly (readonly number[])[],
  trend?: readonly number[],
): ProcessPrediction {
  return gaussianProcessPredictor(fit)(points, trend);
}

/** What the other settings say about one setting that was left out. */
export interface LeftOutSetting {
  /** Rows of the data measured at this setting. */
  readonly rows: readonly number[];
  /** Mean of y there, and what the process predicts for it without those rows. */
  readonly observed: number;
  readonly predicted: number;
  /** Of observed - predicted: surface and noise of the mean of the repeats. */
  readonly sd: number;
  /** (observed - predicted) / sd; beyond about 3 the process does not describe this setting. */
  readonly standardised: number;
}

/**
 * Predicts each setting from all others, hyperparameters held: in closed form from the diagonal of the
 * inverse. A setting leaves with all its repeats, which would otherwise predict each other.
 *
 * @source Rasmussen and Williams (2006) section 5.4.2; with an estimated constant O. Dubrule,
 *   Mathematical Geology 15 (1983) 687-699
 */
export function leaveOneSettingOut(fit: GaussianProcessFit): LeftOutSetting[] {
  const { settings, factor, alpha, inflation } = restore(fit);
  const { counts, settingOf } = settings;
  const m = counts.length;
  const inverse = new Float64Array(m * m);
  choleskyInverse(factor, m, inverse);
  const ones = new Float64Array(m).fill(fit.hasTrend ? 0 : 1);
  choleskySolve(factor, m, ones);
  const total = ones.reduce((sum, value) => sum + value, 0);
  const rows: number[][] = Array.from({ length: m }, () => []);
  settingOf.forEach((setting, row) => {
    rows[setting]!.push(row);
  });
  return rows.map((members, i) => {
    const precision = inverse[i * m + i]! - (fit.hasTrend ? 0 : ones[i]! ** 2 / total);
    const observed = members.reduce((sum, row) => sum + fit.observations.y[row]!, 0) / members.length;
    const residual = alpha[i]! / precision;
    const sd = Math.sqrt((fit.signalVariance * inflation) / precision);
    return { rows: members, observed, predicted: observed - residual, sd, standardised: residual / sd };
  });
}
