import { BeadbenchError, type Finding, requireNumber } from "../../errors/index.js";
import type { Certificate, FitStatus } from "../common/index.js";
import { formulaModel } from "../formula/index.js";
import { type ParameterInterval, parameterIntervals } from "../inference/index.js";
import { fitNonlinear } from "../nonlinear/index.js";

/** Rows of named numbers, and which of them the formula is to give. */
export interface CurveData {
  readonly rows: readonly Readonly<Record<string, number>>[];
  readonly response: string;
}

export interface CurveOptions {
  /** Ordinary arithmetic on the names of columns and of parameters, such as `a * current^b * travel_speed^c`. */
  readonly formula: string;
  /** First guesses of parameters. Default 1 each; linear parameters need none. */
  readonly start?: Readonly<Record<string, number>>;
  /** Of the intervals. Default 0.95. */
  readonly level?: number;
}

/** A formula fitted to rows. Plain data. */
export interface CurveFit {
  readonly formula: string;
  readonly response: string;
  /** Columns the formula asks for. */
  readonly variables: readonly string[];
  readonly status: FitStatus;
  /** Where the search ended, by parameter; a guess worth nothing unless it converged. */
  readonly estimates: Readonly<Record<string, number>>;
  /** Empty unless it converged. */
  readonly parameters: readonly ParameterInterval[];
  /** Standard deviation of a row about the curve, in the response's unit; absent unless it converged. */
  readonly residualSd?: number;
  readonly df: number;
  /** Values of the curve and of the response less the curve, row by row. */
  readonly fitted: readonly number[];
  readonly residuals: readonly number[];
  readonly certificate: Certificate;
  readonly findings: readonly Finding[];
}

/** Searches beyond the first guess: a formula of someone's own may have several minima. */
const STARTS = 8;

/**
 * Fits a formula of one's own to any rows, by least squares in the response as it stands: all rows scatter alike.
 * Every name in the formula that is no column is a parameter. Where the scatter grows with the value, fit the logarithm
 * instead.
 *
 * @throws {BeadbenchError} `bad-argument` for a formula that cannot be read, or that asks for the response itself;
 *   `not-enough-data` without a spare row
 */
export function fitCurve(
  { rows, response }: CurveData,
  { formula, start = {}, level }: CurveOptions,
): CurveFit {
  const columns = Object.keys(rows[0] ?? {});
  const named = new Set(formula.match(/[A-Za-z_]\w*/g));
  if (named.has(response)) {
    throw new BeadbenchError(
      "bad-argument",
      `the formula is to give ${response}: write it without ${response} itself, got ${JSON.stringify(formula)}`,
    );
  }
  const variables = columns.filter((name) => named.has(name));
  const model = formulaModel(formula, { variables });
  for (const name of Object.keys(start)) {
    if (model.parameters.includes(name)) continue;
    throw new BeadbenchError(
      "bad-argument",
      `the formula has no parameter ${name} to start; its parameters: ${model.parameters.join(", ")}`,
    );
  }
  const guess = model.parameters.map((name) => requireNumber(`start of ${name}`, start[name] ?? 1));
  const observations = {
    x: rows.map((row) => variables.map((name) => row[name]!)),
    y: rows.map((row) => row[response]!),
  };
  const fit = fitNonlinear(observations, model, { start: guess, starts: STARTS });
  const intervals =
    fit.status === "converged" ? parameterIntervals(fit, model, level === undefined ? {} : { level }) : [];
  return {
    formula,
    response,
    variables,
    status: fit.status,
    estimates: Object.fromEntries(fit.parameters.map((name, j) => [name, fit.estimates[j]!])),
    parameters: intervals,
    ...(fit.status === "converged" && { residualSd: fit.residualSd }),
    df: fit.df,
    fitted: fit.fitted,
    residuals: fit.residuals,
    certificate: fit.certificate,
    findings: [...fit.findings, ...intervals.flatMap(({ findings }) => findings)],
  };
}
