import { BeadbenchError, type Finding, valueUnless } from "../../errors/index.js";
import { fixed, mean } from "../../numeric/index.js";
import {
  type ConvergedFit,
  type Fit,
  informationCriteria,
  type LackOfFit,
  lackOfFit,
  leaveOneOut,
  type Model,
  predict,
  tIntervals,
} from "../../regression/index.js";
import type { Settings } from "../physical/index.js";
import {
  type Coefficient,
  couponQuality,
  type EstimateWithInterval,
  type FormName,
  type FormQuality,
} from "./form.js";
import type { ResponseData } from "./response-data.js";
import { type ResponseScale, responseScale, type ScaleName } from "./response-scale.js";

/** A form that is a regression on a scale of the response. Plain data. */
export interface RegressionForm extends FormQuality {
  /** The scale the regression was made on; `linear` also for a power law with the same scatter everywhere. */
  readonly fitScale: ScaleName;
  /** Factors that did not vary: nothing can be said about them. */
  readonly held: readonly string[];
  /** Value at the reference setting, with its interval. */
  readonly atReference: EstimateWithInterval;
  /** All coefficients but the constant. */
  readonly coefficients: readonly Coefficient[];
  /** Absent without repeats. */
  readonly lackOfFit?: LackOfFit;
  readonly fit: ConvergedFit;
}

/** What a form has to tell for {@link regressionForm} to work out the rest. */
export interface RegressionParts<F extends FormName> {
  readonly form: F;
  readonly fitScale: ScaleName;
  readonly model: Model;
  readonly fit: ConvergedFit;
  /** The row of the reference setting. */
  readonly reference: readonly number[];
  readonly held: readonly string[];
  readonly level: number;
  /** Leave-one-out predictions on the fit's scale. Default: in closed form, exact for a linear model. */
  readonly leftOut?: readonly number[];
}

/**
 * Carries a regression back to the response's own unit: intervals, leave-one-out errors, criterion, lack of fit.
 *
 * @throws {BeadbenchError} `not-enough-data` for a fit without residuals
 */
export function regressionForm<F extends FormName>(
  data: ResponseData,
  parts: RegressionParts<F>,
): RegressionForm & { readonly form: F } {
  const { form, fitScale, fit, level } = parts;
  if (!(fit.rss > 0)) {
    throw new BeadbenchError(
      "not-enough-data",
      `${data.response}: the coupons meet the form exactly, which leaves no scatter to judge it by`,
    );
  }
  const scale = responseScale(fitScale, data.unit);
  const leftOut = parts.leftOut ?? leaveOneOut(fit).predicted;
  const fitted = fit.fitted.map(scale.back);
  const quality = couponQuality(data, fitted, leftOut.map(scale.back));
  const [reference] = predict(fit, parts.model, [parts.reference], { level });
  const test = lackOfFitIfRepeated(fit, data.settings);
  const { aic, aicc } = informationCriteria(fit);
  const ofResponse = criterionShift(data, scale);
  return {
    ...quality,
    form,
    fitScale,
    held: parts.held,
    level,
    parameters: data.y.length - fit.df,
    df: fit.df,
    scatter: scatterInUnits(data, fitScale, fit.residualSd, fitted),
    aic: aic + ofResponse,
    aicc: aicc + ofResponse,
    atReference: {
      estimate: scale.back(reference!.mean),
      lower: scale.back(reference!.confidence.lower),
      upper: scale.back(reference!.confidence.upper),
    },
    coefficients: intervalsByParameter(fit, level).slice(1),
    ...(test === undefined ? {} : { lackOfFit: test }),
    fit,
    findings: [...data.findings, ...fit.findings],
  };
}

/** What a criterion of the scaled values lacks to be one of the response: -2 sum ln dz/dy. */
export function criterionShift({ y }: Pick<ResponseData, "y">, scale: ResponseScale): number {
  return -2 * y.reduce((sum, value) => sum + scale.logSlope(value), 0);
}

/**
 * Scatter of one coupon in the unit of errors (relative on the log scale, else the response's unit), from its
 * standard deviation on the scale of a fit; between scales by the slope at the middle of the data.
 */
export function scatterInUnits(
  { scale, unit }: Pick<ResponseData, "scale" | "unit">,
  fitScale: ScaleName,
  sd: number,
  fitted: readonly number[],
): number {
  if (scale === fitScale && scale !== "half-angle") return sd;
  const middle = mean(fitted);
  return scale === "log" ? sd / middle : sd / Math.exp(responseScale(fitScale, unit).logSlope(middle));
}

/** The lack-of-fit test, where there are repeats and settings enough for one. */
function lackOfFitIfRepeated(fit: ConvergedFit, settings: readonly Settings[]): LackOfFit | undefined {
  const groups = settings.map((setting) => JSON.stringify(Object.entries(setting).sort()));
  return valueUnless("not-enough-data", () => lackOfFit(fit, { groups }));
}

/** t intervals in the order of the parameters; a parameter without scatter gets an interval of width 0. */
export function intervalsByParameter(fit: ConvergedFit, level: number): readonly Coefficient[] {
  const known = new Map(tIntervals(fit, { level }).map((interval) => [interval.name, interval]));
  return fit.parameters.map((term, j) => {
    const estimate = fit.estimates[j]!;
    const { lower = estimate, upper = estimate } = known.get(term) ?? {};
    return { term, estimate, standardError: fit.standardErrors[j]!, lower, upper };
  });
}

/** The fit, when it may be used. */
export function converged(fit: Fit, response: string): ConvergedFit {
  if (fit.status === "converged") return fit;
  throw new BeadbenchError(
    "not-enough-data",
    `${response}: the fit ended "${fit.status}"${fit.findings.map(({ message }) => `; ${message}`).join("")}. Settings that moved together cannot be told apart: see \`beadbench check\`, and \`beadbench next\` for coupons that part them`,
    { status: fit.status },
  );
}

/** Refuses fewer coupons than coefficients plus three: AICc and an honest scatter need them. */
export function requireSpare(response: string, coupons: number, parameters: number, what: string): void {
  const needed = parameters + 3;
  if (coupons >= needed) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${response}: ${coupons} coupon${coupons === 1 ? " has" : "s have"} a value, but ${what} needs at least ${needed}; run more coupons or hold settings constant`,
  );
}

/** Says which exponents the coupons hardly determine. */
export function vagueExponents(response: string, exponents: readonly Coefficient[]): readonly Finding[] {
  const vague = exponents.filter(({ lower, upper }) => upper - lower > 1.5);
  if (vague.length === 0) return [];
  return [
    {
      code: "vague-exponent",
      severity: "warning",
      message: `${response}: the data hardly determine the exponents of ${vague.map((e) => `${e.term} +- ${fixed(e.standardError, 2)}`).join(", ")} (standard errors)`,
      advice:
        "their predictions hold only along the settings that were run; `beadbench next` proposes coupons that part the settings",
      about: exponents.map(({ term }) => term),
    },
  ];
}
