import { mean } from "../../numeric/index.js";
import { fitNonlinear, leaveOneOutRefit } from "../../regression/index.js";
import { DEFAULT_LEVEL } from "./form.js";
import { type PowerLawData, type PowerLawTerm, powerLawModel } from "./power-law-data.js";
import {
  converged,
  type RegressionForm,
  regressionForm,
  requireSpare,
  vagueExponents,
} from "./regression-form.js";
import { responseScale } from "./response-scale.js";

/** How scatter grows: in proportion to the value (fitted on the response's scale), or the same everywhere. */
export type ErrorKind = "proportional" | "additive";

/** A power law fitted to one response (for a toe angle: to tan of half the angle). */
export interface PowerLawFit extends RegressionForm {
  readonly form: "power-law";
  readonly error: ErrorKind;
  readonly terms: readonly PowerLawTerm[];
}

/**
 * Fits a power law of the settings to one response by nonlinear least squares.
 *
 * @param error - the kind of scatter; `proportional` suits widths and heights that span a factor of two or more
 * @throws {BeadbenchError} `not-enough-data` when fewer coupons than coefficients plus three have the response, or
 *   when the settings moved together so exactly that exponents cannot be told apart
 */
export function fitPowerLaw(data: PowerLawData, error: ErrorKind, level = DEFAULT_LEVEL): PowerLawFit {
  const { terms, held, response, unit, y } = data;
  // With one or two coupons nothing varies yet: count the settings the study means to vary.
  const settings = terms.length === 0 ? held.length : terms.length;
  requireSpare(response, y.length, settings + 1, `a power law of ${settings} settings`);
  const fitScale = error === "additive" ? "linear" : data.scale;
  const { forward } = responseScale(fitScale, unit);
  const model = powerLawModel(terms, error === "proportional");
  const observations = { x: data.x, y: y.map(forward) };
  const start = [error === "additive" ? Math.log(mean(y)) : mean(observations.y), ...terms.map(() => 0)];
  const fit = converged(fitNonlinear(observations, model, { start }), response);
  const form = regressionForm(data, {
    form: "power-law",
    fitScale,
    model,
    fit,
    reference: terms.map(() => 0),
    held,
    level,
    ...(error === "additive" ? { leftOut: leaveOneOutRefit(fit, model).predicted } : {}),
  });
  const findings = [...form.findings, ...vagueExponents(response, form.coefficients)];
  return { ...form, error, terms, findings };
}

/** The power law with the kind of scatter the data support better, by AICc. */
export function fitBetterPowerLaw(data: PowerLawData, level = DEFAULT_LEVEL): PowerLawFit {
  const proportional = fitPowerLaw(data, "proportional", level);
  if (data.scale !== "log") return proportional;
  // The law with the same scatter everywhere is not linear and takes no shifts from block to block.
  if (proportional.shift !== undefined) return proportional;
  const additive = fitPowerLaw(data, "additive", level);
  return additive.aicc! < proportional.aicc! ? additive : proportional;
}
