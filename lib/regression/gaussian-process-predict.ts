import { requireThat } from "../errors/index.js";
import { choleskyInverse, choleskySolve, solveLower } from "../numeric/index.js";
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

/** Subtracts L[i, 0..i) V[0..i, :] from row i of V (rows of BLOCK values), four rows at a time. */
function eliminateRow(l: Float64Array, m: number, i: number, v: Float64Array): void {
  const target = i * BLOCK;
  const row = i * m;
  let j = 0;
  for (; j + 3 < i; j += 4) {
    const c0 = l[row + j]!;
    const c1 = l[row + j + 1]!;
    const c2 = l[row + j + 2]!;
    const c3 = l[row + j + 3]!;
    const from = j * BLOCK;
    for (let b = 0; b < BLOCK; b++) {
      v[target + b]! -=
        c0 * v[from + b]! +
        c1 * v[from + BLOCK + b]! +
        (c2 * v[from + 2 * BLOCK + b]! + c3 * v[from + 3 * BLOCK + b]!);
    }
  }
  for (; j < i; j++) {
    const c = l[row + j]!;
    for (let b = 0; b < BLOCK; b++) v[target + b]! -= c * v[j * BLOCK + b]!;
  }
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
  const v = new Float64Array(m * BLOCK);
  const mean = new Float64Array(BLOCK);
  const explained = new Float64Array(BLOCK);
  const shared = new Float64Array(BLOCK);

  /** Fills one block of cross-correlations and the means; columns beyond `count` hold leftovers. */
  const correlate = (points: Float64Array, first: number, count: number): void => {
    mean.fill(0);
    for (let i = 0; i < m; i++) {
      const weight = alpha[i]!;
      for (let b = 0; b < count; b++) {
        let sum = 0;
        const p = (first + b) * d;
        for (let k = 0; k < d; k++) {
          const difference = points[p + k]! - at[i * d + k]!;
          sum += difference * difference;
        }
        const a = SQRT5 * Math.sqrt(sum);
        const value = (1 + a + (a * a) / 3) * Math.exp(-a);
        v[i * BLOCK + b] = value;
        mean[b]! += weight * value;
      }
    }
  };
  const eliminate = (): void => {
    explained.fill(0);
    shared.fill(0);
    for (let i = 0; i < m; i++) {
      eliminateRow(factor, m, i, v);
      const inverse = 1 / factor[i * m + i]!;
      const one = ones[i]!;
      for (let b = 0; b < BLOCK; b++) {
        const value = v[i * BLOCK + b]! * inverse;
        v[i * BLOCK + b] = value;
        explained[b]! += value * value;
        shared[b]! += one * value;
      }
    }
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
      eliminate();
      for (let b = 0; b < count; b++) {
        const lost = fit.hasTrend ? 0 : (1 - shared[b]!) ** 2 / constantPrecision;
        means[first + b] = fit.constant + mean[b]! + (trend?.[first + b] ?? 0);
        sds[first + b] = Math.sqrt(variance * Math.max(0, 1 - explained[b]! + lost));
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
