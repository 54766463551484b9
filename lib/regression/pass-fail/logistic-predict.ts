import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { normalQuantile } from "../../numeric/index.js";
import { designBasis } from "../common/index.js";
import type { LogisticFit } from "./logistic.js";
import { logisticProblem } from "./logistic.js";
import { logisticClimber } from "./logistic-climb.js";
import { logisticChance } from "./logistic-likelihood.js";
import { profileLimits } from "./logistic-profile.js";

/** Chance of passing at one setting, with the interval the coefficients' uncertainty leaves. */
export interface ChanceEstimate {
  readonly chance: number;
  readonly lower: number;
  readonly upper: number;
  /** Log odds and their standard error. */
  readonly logit: number;
  readonly standardError: number;
}

function requireUsable(where: string, fit: LogisticFit, rows: readonly (readonly number[])[]): void {
  if (fit.status !== "converged") {
    throw new BeadbenchError(
      "refused",
      `${where}: the fit did not converge; ${fit.findings.at(-1)?.message ?? ""}`,
    );
  }
  rows.forEach((row, i) => {
    requireThat(
      row.length === fit.parameters.length,
      `${where}: row ${i + 1} holds ${row.length} values for ${fit.parameters.length} terms`,
    );
  });
}

function logitAt(fit: LogisticFit, row: readonly number[]): { logit: number; standardError: number } {
  let logit = 0;
  let variance = 0;
  for (let a = 0; a < row.length; a++) {
    logit += row[a]! * fit.estimates[a]!;
    const covariances = fit.covariance[a]!;
    for (let b = 0; b < row.length; b++) variance += row[a]! * covariances[b]! * row[b]!;
  }
  return { logit, standardError: Math.sqrt(Math.max(0, variance)) };
}

/**
 * Chances of passing at the given rows, with intervals of the log odds +- z se (fast; see
 * {@link chanceInterval} where the data are few or separated).
 *
 * @param rows - laid out as in the fit
 * @throws {BeadbenchError} `refused` for a fit that did not converge
 */
export function predictLogistic(
  fit: LogisticFit,
  rows: readonly (readonly number[])[],
  level = 0.95,
): ChanceEstimate[] {
  requireUsable("predictLogistic", fit, rows);
  const z = normalQuantile(0.5 + requireNumber("level", level, { above: 0, below: 1 }) / 2);
  return rows.map((row) => {
    const { logit, standardError } = logitAt(fit, row);
    return {
      chance: logisticChance(logit),
      lower: logisticChance(logit - z * standardError),
      upper: logisticChance(logit + z * standardError),
      logit,
      standardError,
    };
  });
}

/**
 * Chance of passing at one row, with the interval of the (penalised) profile likelihood of its log odds;
 * with FLIC the limits move with the intercept.
 *
 * @throws {BeadbenchError} `refused` for a fit that did not converge
 */
export function chanceInterval(fit: LogisticFit, row: readonly number[], level = 0.95): ChanceEstimate {
  requireUsable("chanceInterval", fit, [row]);
  requireNumber("level", level, { above: 0, below: 1 });
  const basis = designBasis(fit.observations.x, fit.parameters);
  const problem = logisticProblem(fit.observations, basis, fit.penalty, fit.prior);
  const climb = logisticClimber(problem);
  const { lower, upper } = profileLimits(problem, climb, climb(new Float64Array(basis.rank)), row, level);
  const { logit, standardError } = logitAt(fit, row);
  return {
    chance: logisticChance(logit),
    lower: logisticChance(lower + fit.interceptShift),
    upper: logisticChance(upper + fit.interceptShift),
    logit,
    standardError,
  };
}
