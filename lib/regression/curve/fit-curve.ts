import { BeadbenchError, type Finding, ownValue, requireNumber } from "../../errors/index.js";
import type { Fit } from "../common/index.js";
import { type FormulaModel, formulaModel, formulaNames } from "../formula/index.js";
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
  /** Columns the formula asks for, in the order of a row of `fit.observations.x`. */
  readonly variables: readonly string[];
  readonly level: number;
  /** Where the search ended, by parameter; a guess worth nothing unless `fit.status` is converged. */
  readonly estimates: Readonly<Record<string, number>>;
  /** Empty unless it converged. */
  readonly parameters: readonly ParameterInterval[];
  readonly fit: Fit;
  readonly findings: readonly Finding[];
}

/**
 * Searches beyond the first guess: a formula of someone's own may have several minima. With 8 of them, from 1 for every
 * parameter, 22 of NIST's 27 nonlinear sets end in the certified parameters, with 64 of them 23.
 */
const STARTS = 8;

/** The model a fitted formula stands for, its variables in the order of the fit's rows. */
export function curveModel({ formula, variables }: Pick<CurveFit, "formula" | "variables">): FormulaModel {
  return formulaModel(formula, { variables });
}

/**
 * Fits a formula of one's own to any rows, by least squares in the response as it stands: all rows scatter alike.
 * Every name in the formula that is no column is a parameter. Where the scatter grows with the value, fit the logarithm
 * instead.
 *
 * @throws {BeadbenchError} `bad-argument` for a formula that cannot be read, or that asks for the response itself, and for
 *   a first guess of what is no parameter; `not-enough-data` without a spare row
 */
export function fitCurve(
  { rows, response }: CurveData,
  { formula, start = {}, level = 0.95 }: CurveOptions,
): CurveFit {
  requireNumber("fitCurve: level", level, { above: 0, below: 1 });
  const named = formulaNames(formula);
  if (named.includes(response)) {
    throw new BeadbenchError(
      "bad-argument",
      `the formula is to give ${response}: write it without ${response} itself, got ${JSON.stringify(formula)}`,
    );
  }
  if (rows.length === 0) {
    throw new BeadbenchError("not-enough-data", `fitCurve: there is no row with ${response} to fit to`);
  }
  const variables = named.filter((name) => ownValue(rows[0]!, name) !== undefined);
  const model = curveModel({ formula, variables });
  for (const name of Object.keys(start)) {
    if (model.parameters.includes(name)) continue;
    throw new BeadbenchError(
      "bad-argument",
      `the formula has no parameter ${name} to start; its parameters: ${model.parameters.join(", ")}`,
    );
  }
  const guess = model.parameters.map((name) => requireNumber(`start of ${name}`, ownValue(start, name) ?? 1));
  const observations = {
    x: rows.map((row) => variables.map((name) => ownValue(row, name)!)),
    y: rows.map((row) => ownValue(row, response)!),
  };
  const fit = fitNonlinear(observations, model, { start: guess, starts: STARTS });
  const parameters = fit.status === "converged" ? parameterIntervals(fit, model, { level }) : [];
  return {
    formula,
    response,
    variables,
    level,
    estimates: Object.fromEntries(fit.parameters.map((name, j) => [name, fit.estimates[j]!])),
    parameters,
    fit,
    findings: [...fit.findings, ...parameters.flatMap(({ findings }) => findings)],
  };
}
