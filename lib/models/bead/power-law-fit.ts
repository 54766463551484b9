import { BeadbenchError, type Finding } from "../../errors/index.js";
import { mean } from "../../numeric/index.js";
import {
  type ConvergedFit,
  type Fit,
  fitNonlinear,
  informationCriteria,
  type LackOfFit,
  lackOfFit,
  leaveOneOut,
  leaveOneOutRefit,
  type Model,
  tIntervals,
} from "../../regression/index.js";
import { type PowerLawData, type PowerLawTerm, powerLawModel, termName } from "./power-law-data.js";

/** How scatter grows: in proportion to the value (fitted in logarithms), or the same everywhere. */
export type ErrorKind = "proportional" | "additive";

/** The estimated exponent of one term, with a t interval. */
export interface Exponent {
  readonly term: string;
  readonly estimate: number;
  readonly standardError: number;
  readonly lower: number;
  readonly upper: number;
}

/** A coupon as measured and as fitted, in the response's unit. */
export interface FittedCoupon {
  readonly coupon: string;
  readonly measured: number;
  readonly fitted: number;
  /** Prediction by a fit without this coupon. */
  readonly leftOut: number;
}

/** What every form of bead model reports about itself, so that forms can be compared. Plain data. */
export interface FormQuality {
  /** Coupons fitted. */
  readonly n: number;
  readonly df: number;
  /** Standard deviation of a single coupon about the model, relative to the value. */
  readonly relativeSd: number;
  /** Root mean square of the leave-one-out errors, relative to the value (in natural logarithms). */
  readonly leaveOneOutError: number;
  /** Small-sample Akaike criterion of the response itself, so that both error kinds compare. */
  readonly aicc: number;
}

/** A power law fitted to one response. */
export interface PowerLawFit extends FormQuality {
  readonly form: "power-law";
  readonly response: string;
  readonly unit: string;
  readonly error: ErrorKind;
  readonly terms: readonly PowerLawTerm[];
  readonly held: readonly string[];
  /** Value at the reference setting, with a t interval. */
  readonly atReference: { readonly estimate: number; readonly lower: number; readonly upper: number };
  readonly exponents: readonly Exponent[];
  readonly level: number;
  /** Absent without repeats. */
  readonly lackOfFit?: LackOfFit;
  readonly coupons: readonly FittedCoupon[];
  readonly fit: ConvergedFit;
  readonly findings: readonly Finding[];
}

/** Options of the bead fits. */
export interface BeadFitOptions {
  /** Coverage of the intervals. Default 0.95. */
  readonly level?: number;
  /** Coupons to leave out; they are named in the findings. */
  readonly without?: readonly string[];
}

/**
 * Fits a power law of the settings to one response by nonlinear least squares.
 *
 * @param error - the kind of scatter; `proportional` suits widths and heights that span a factor of two or more
 * @throws {BeadbenchError} `not-enough-data` when fewer coupons than coefficients plus one have the response, or
 *   when the settings moved together so exactly that exponents cannot be told apart
 */
export function fitPowerLaw(data: PowerLawData, error: ErrorKind, level = 0.95): PowerLawFit {
  requireEnough(data);
  const logarithm = error === "proportional";
  const model = powerLawModel(data.terms, logarithm);
  const observations = { x: data.x, y: logarithm ? data.y.map(Math.log) : data.y };
  const start = [Math.log(mean(data.y)), ...data.terms.map(() => 0)];
  const fit = converged(fitNonlinear(observations, model, { start }), data.response);
  // In logarithms the model is linear, so the closed form is exact.
  const leftOut = (logarithm ? leaveOneOut(fit) : leaveOneOutRefit(fit, model)).predicted;
  const natural = (value: number): number => (logarithm ? Math.exp(value) : value);
  const intervals = intervalsByParameter(fit, level);
  const [first, ...rest] = intervals;
  const test = lackOfFitIfRepeated(fit);
  return {
    form: "power-law",
    response: data.response,
    unit: data.unit,
    error,
    terms: data.terms,
    held: data.held,
    level,
    n: data.y.length,
    df: fit.df,
    relativeSd: relativeSd(fit, logarithm),
    leaveOneOutError: relativeError(data.y, leftOut.map(natural)),
    aicc:
      informationCriteria(fit).aicc + (logarithm ? 2 * data.y.reduce((sum, y) => sum + Math.log(y), 0) : 0),
    atReference: {
      estimate: Math.exp(first!.estimate),
      lower: Math.exp(first!.lower),
      upper: Math.exp(first!.upper),
    },
    exponents: rest.map(({ estimate, lower, upper }, j) => ({
      term: termName(data.terms[j]!),
      estimate,
      standardError: fit.standardErrors[j + 1]!,
      lower,
      upper,
    })),
    ...(test === undefined ? {} : { lackOfFit: test }),
    coupons: data.coupons.map((coupon, i) => ({
      coupon,
      measured: data.y[i]!,
      fitted: natural(fit.fitted[i]!),
      leftOut: natural(leftOut[i]!),
    })),
    fit,
    findings: [...data.findings, ...fit.findings, ...exponentFindings(data, rest, fit)],
  };
}

/** AICc needs two rows more than coefficients and variance together. */
function requireEnough({ response, y, terms, held }: PowerLawData): void {
  // With one or two coupons nothing varies yet: count the settings the study means to vary.
  const settings = terms.length === 0 ? held.length : terms.length;
  const needed = settings + 4;
  if (y.length >= needed) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${response}: ${y.length} coupon${y.length === 1 ? " has" : "s have"} a value, but a power law of ${settings} settings needs at least ${needed}; run more coupons or hold settings constant`,
  );
}

/** The lack-of-fit test, where there are repeats and settings enough for one. */
function lackOfFitIfRepeated(fit: ConvergedFit): LackOfFit | undefined {
  try {
    return lackOfFit(fit);
  } catch (error) {
    if (error instanceof BeadbenchError && error.code === "not-enough-data") return undefined;
    throw error;
  }
}

/** t intervals in the order of the parameters; a parameter without scatter gets an interval of width 0. */
export function intervalsByParameter(
  fit: ConvergedFit,
  level: number,
): readonly { readonly estimate: number; readonly lower: number; readonly upper: number }[] {
  const known = new Map(tIntervals(fit, { level }).map((interval) => [interval.name, interval]));
  return fit.parameters.map((name, j) => {
    const estimate = fit.estimates[j]!;
    return known.get(name) ?? { estimate, lower: estimate, upper: estimate };
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

/** Root mean square of ln(measured / predicted); a prediction of 0 or below counts as off by a factor of ten. */
export function relativeError(measured: readonly number[], predicted: readonly number[]): number {
  const squares = measured.map((y, i) => {
    const p = predicted[i]!;
    return (p > 0 ? Math.log(y / p) : Math.LN10) ** 2;
  });
  return Math.sqrt(mean(squares));
}

function relativeSd(fit: ConvergedFit, logarithm: boolean): number {
  return logarithm ? fit.residualSd : fit.residualSd / mean(fit.fitted);
}

function exponentFindings(
  data: PowerLawData,
  intervals: readonly { readonly lower: number; readonly upper: number }[],
  fit: ConvergedFit,
): readonly Finding[] {
  const vague = data.terms.flatMap((term, j) =>
    intervals[j]!.upper - intervals[j]!.lower > 1.5
      ? [`${termName(term)} +- ${fit.standardErrors[j + 1]!.toFixed(2)}`]
      : [],
  );
  if (vague.length === 0) return [];
  return [
    {
      code: "vague-exponent",
      severity: "warning",
      message: `${data.response}: the data hardly determine the exponents of ${vague.join(", ")} (standard errors)`,
      advice:
        "their predictions hold only along the settings that were run; `beadbench next` proposes coupons that part the settings",
      about: data.terms.map(termName),
    },
  ];
}

/** The regression model behind a fit. */
export function modelOf(fit: PowerLawFit): Model {
  return powerLawModel(fit.terms, fit.error === "proportional");
}
