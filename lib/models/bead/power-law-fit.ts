import { mean } from "../../numeric/index.js";
import { type ConvergedFit, fitNonlinear, informationCriteria, type Model } from "../../regression/index.js";
import { DEFAULT_LEVEL } from "./form.js";
import { type PowerLawData, type PowerLawTerm, powerLawModel } from "./power-law-data.js";
import { converged, type RegressionForm, regressionForm, requireSpare } from "./regression-form.js";
import { responseScale, type ScaleName } from "./response-scale.js";
import { vagueExponents } from "./vague-exponents.js";

/** How scatter grows: in proportion to the value (fitted on the response's scale), or the same everywhere. */
export type ScatterLaw = "proportional" | "additive";

/** A power law fitted to one response (for a toe angle: to tan of half the angle). */
export interface PowerLawFit extends RegressionForm {
  readonly form: "power-law";
  readonly error: ScatterLaw;
  readonly terms: readonly PowerLawTerm[];
}

/**
 * Fits a power law of the settings to one response by nonlinear least squares.
 *
 * @param error - the kind of scatter; `proportional` suits widths and heights that span a factor of two or more
 * @throws {BeadbenchError} `not-enough-data` when fewer coupons than coefficients plus three have the response, or
 *   when the settings moved together so exactly that exponents cannot be told apart
 */
export function fitPowerLaw(data: PowerLawData, error: ScatterLaw, level = DEFAULT_LEVEL): PowerLawFit {
  return formOf(data, regressionOf(data, error), level);
}

/** A power law as a converged regression, not yet a form. */
interface PowerLawRegression {
  readonly error: ScatterLaw;
  readonly fitScale: ScaleName;
  readonly model: Model;
  readonly fit: ConvergedFit;
}

function regressionOf(data: PowerLawData, error: ScatterLaw): PowerLawRegression {
  const { terms, held, response, unit, y } = data;
  // With one or two coupons nothing varies yet: count the settings the study means to vary.
  const settings = terms.length === 0 ? held.length : terms.length;
  requireSpare({
    response,
    coupons: y.length,
    parameters: settings + 1,
    what: `a power law of ${settings} settings`,
  });
  const fitScale = error === "additive" ? "linear" : data.scale;
  const { forward } = responseScale(fitScale, unit);
  const model = powerLawModel(terms, error === "proportional");
  const observations = { x: data.x, y: y.map(forward) };
  const start = [error === "additive" ? Math.log(mean(y)) : mean(observations.y), ...terms.map(() => 0)];
  return { error, fitScale, model, fit: converged(fitNonlinear(observations, model, { start }), response) };
}

function formOf(data: PowerLawData, regression: PowerLawRegression, level: number): PowerLawFit {
  const { error, fitScale, model, fit } = regression;
  const { terms, held, response } = data;
  const form = regressionForm(data, {
    form: "power-law",
    fitScale,
    model,
    fit,
    reference: terms.map(() => 0),
    held,
    ranges: "regressors",
    level,
    shifts: error === "proportional",
  });
  const findings = [...form.findings, ...vagueExponents(response, form.coefficients)];
  return { ...form, error, terms, findings };
}

/**
 * By how much the AICc of scatter that is the same everywhere must be the better. Widths and heights mostly scatter in
 * proportion; a dozen coupons cannot tell the two apart, and choosing the one that happens to scatter less about its
 * fit made nominal 95 % intervals of 9 coupons hold 92 to 93 %.
 *
 * @source "considerably less support" from a difference of 4 on: K. P. Burnham and D. R. Anderson, Model Selection and
 *   Multimodel Inference (2002), section 2.6, from memory
 */
const CLEARLY_BETTER = 4;

/** The power law with scatter in proportion to the value, unless the same scatter everywhere is clearly better by AICc. */
export function fitBetterPowerLaw(data: PowerLawData, level = DEFAULT_LEVEL): PowerLawFit {
  const proportional = fitPowerLaw(data, "proportional", level);
  if (data.scale !== "log") return proportional;
  // The law with the same scatter everywhere is not linear and takes no shifts from block to block.
  if (proportional.shift !== undefined) return proportional;
  const additive = regressionOf(data, "additive");
  const isBetter = informationCriteria(additive.fit).aicc <= proportional.aicc! - CLEARLY_BETTER;
  return isBetter ? formOf(data, additive, level) : proportional;
}
