import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { normalQuantile } from "../../numeric/distributions/index.js";
import { designBasis } from "../common/index.js";
import { type Limits, profileLimits, waldLimits } from "./likelihood-profile.js";
import type { LogisticFit } from "./logistic.js";
import { logisticProblem } from "./logistic.js";
import { logisticClimber } from "./logistic-climb.js";
import { logisticChance } from "./logistic-likelihood.js";
import { logisticProfile } from "./logistic-profile.js";

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

/**
 * Log odds of passing at one row and their standard error, without an interval.
 *
 * @param row - laid out as in the fit, which must have converged
 * @throws {BeadbenchError} `bad-argument` where they are too large for a number
 */
export function logitAt(
  fit: LogisticFit,
  row: readonly number[],
): { readonly logit: number; readonly standardError: number } {
  let logit = 0;
  let variance = 0;
  for (let a = 0; a < row.length; a++) {
    logit += row[a]! * fit.estimates[a]!;
    const covariances = fit.covariance[a]!;
    for (let b = 0; b < row.length; b++) variance += row[a]! * covariances[b]! * row[b]!;
  }
  requireThat(
    Number.isFinite(logit) && Number.isFinite(variance),
    "predictLogistic: the log odds at a row are too large to be written as a number; bring the terms to a common scale",
  );
  return { logit, standardError: Math.sqrt(Math.max(0, variance)) };
}

/** How the interval of a chance is found. */
export interface ChanceOptions {
  /** Default 0.95. */
  readonly level?: number;
  /**
   * `profile` (default) follows the (penalised) likelihood of each row's log odds; `wald` takes log odds +- z se, which
   * is a hundred times as fast and too narrow where data are few or separated.
   */
  readonly intervals?: "profile" | "wald";
}

/**
 * Chances of passing at the given rows, with the limits of the (penalised) profile likelihood of their log odds; with
 * FLIC the limits move with the intercept.
 *
 * @param rows - laid out as in the fit
 * @throws {BeadbenchError} `refused` for a fit that did not converge
 */
export function predictLogistic(
  fit: LogisticFit,
  rows: readonly (readonly number[])[],
  options: ChanceOptions = {},
): ChanceEstimate[] {
  requireUsable("predictLogistic", fit, rows);
  const z = normalQuantile(0.5 + requireNumber("level", options.level ?? 0.95, { above: 0, below: 1 }) / 2);
  const limitsOf = options.intervals === "wald" ? undefined : profiler(fit, z);
  return rows.map((row) => {
    const { logit, standardError } = logitAt(fit, row);
    const { lower, upper } = limitsOf?.(row) ?? waldLimits({ centre: logit, standardError }, z);
    return {
      chance: logisticChance(logit),
      lower: logisticChance(lower),
      upper: logisticChance(upper),
      logit,
      standardError,
    };
  });
}

/** Profile limits of the log odds at a row, over one workspace. */
function profiler(fit: LogisticFit, z: number): (row: readonly number[]) => Limits {
  const basis = designBasis(fit.observations.x, fit.parameters);
  const problem = logisticProblem({ data: fit.observations, basis, penalty: fit.penalty, prior: fit.prior });
  const climb = logisticClimber(problem);
  const top = climb(new Float64Array(basis.rank));
  return (row) => {
    const { lower, upper } = profileLimits(logisticProfile({ problem, climb, top, combination: row }), z);
    return { lower: lower + fit.interceptShift, upper: upper + fit.interceptShift };
  };
}
