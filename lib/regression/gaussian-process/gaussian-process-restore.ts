import { BeadbenchError } from "../../errors/index.js";
import { type GaussianProcessFit, thetaOf } from "./gaussian-process.js";
import { gatherSettings, type SettingMeans } from "./gaussian-process-data.js";
import { ProcessLikelihood, type ProcessParameters } from "./gaussian-process-likelihood.js";

/** The arrays of a fitted process, made anew from its plain numbers. */
export interface RestoredProcess {
  readonly settings: SettingMeans;
  readonly theta: Float64Array;
  /** Factor of the correlation matrix A, noise included. */
  readonly factor: Float64Array;
  /** A^-1 (means - constant). */
  readonly alpha: Float64Array;
  /** Turns the maximum-likelihood variance into the unbiased one: N / df. */
  readonly inflation: number;
}

/**
 * Rebuilds what prediction needs.
 *
 * @param set - hyperparameters and constant. Default: those of the fit
 * @throws {BeadbenchError} `refused` for a fit whose likelihood was not finite
 */
export function restoreProcess(
  fit: GaussianProcessFit,
  set: ProcessParameters & { readonly constant: number } = fit,
): RestoredProcess {
  if (fit.status === "non-finite") {
    throw new BeadbenchError("refused", "the Gaussian process was not fitted: its likelihood is not finite");
  }
  const settings = gatherSettings(fit.observations, fit.box);
  const theta = thetaOf(set, settings.dimensions);
  const likelihood = new ProcessLikelihood(settings, set.constant, set.signalVariance);
  likelihood.evaluate(theta);
  const { factor, alpha } = likelihood;
  const inflation = fit.status === "given" ? 1 : settings.total / fit.df;
  return { settings, theta, factor, alpha, inflation };
}
