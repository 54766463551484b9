import { choleskyInverse, choleskySolve } from "../../numeric/index.js";
import type { GaussianProcessFit } from "./gaussian-process.js";
import { restoreProcess } from "./gaussian-process-restore.js";

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
 * @example leaveOneSettingOut(fitGaussianProcess({ x: [[0], [1], [2], [3], [4]], y: [0, 0.9, 2.1, 2.9, 4] })).length // => 5
 */
export function leaveOneSettingOut(fit: GaussianProcessFit): LeftOutSetting[] {
  const { settings, factor, alpha, inflation } = restoreProcess(fit);
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
