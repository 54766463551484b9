import { BeadbenchError, requireThat } from "../../errors/index.js";
import { type Limits, profileLimits, waldLimits } from "./likelihood-profile.js";
import { logisticChance } from "./logistic-likelihood.js";
import type { ChanceOptions } from "./logistic-predict.js";
import type { OrdinalFit } from "./ordinal.js";
import { climbOrdinal } from "./ordinal-climb.js";
import { ordinalFactor, type StandardisedProblem, standardiseColumns } from "./ordinal-problem.js";
import { ordinalProfile } from "./ordinal-profile.js";

/** Chances of the grades at one setting. */
export interface GradeChances {
  /** Per grade of the fit. */
  readonly chances: readonly number[];
  /** Chance of this grade or a later one, from the second grade on, with its interval. */
  readonly atLeast: readonly {
    readonly grade: string;
    readonly chance: number;
    readonly lower: number;
    readonly upper: number;
  }[];
}

/**
 * Chances of each grade at the given rows; limits are those of the profile likelihood of the log odds.
 *
 * @throws {BeadbenchError} `refused` for a fit that did not converge
 */
export function predictOrdinal(
  fit: OrdinalFit,
  rows: readonly (readonly number[])[],
  options: ChanceOptions = {},
): GradeChances[] {
  if (fit.status !== "converged")
    throw new BeadbenchError("refused", "predictOrdinal: the fit did not converge");
  const cuts = fit.grades.length - 1;
  const p = fit.parameters.length - cuts;
  const standardised = standardiseColumns({
    data: fit.observations,
    names: fit.parameters.slice(0, p),
    used: fit.grades,
    prior: fit.prior,
  });
  const factor = ordinalFactor(standardised, options.level ?? 0.95);
  const limitsOf = options.intervals === "wald" ? undefined : profiler(standardised, factor);
  return rows.map((row, i) => {
    requireThat(row.length === p, `predictOrdinal: row ${i + 1} holds ${row.length} values for ${p} terms`);
    const atLeast = Array.from({ length: cuts }, (_, k) => {
      const combination = [...row, ...Array.from({ length: cuts }, (_, c) => (c === k ? -1 : 0))];
      const { logit, variance } = logitOf(fit, combination);
      const { lower, upper } =
        limitsOf?.(combination) ??
        waldLimits({ centre: logit, standardError: Math.sqrt(Math.max(0, variance)) }, factor);
      return {
        grade: fit.grades[k + 1]!,
        chance: logisticChance(logit),
        lower: logisticChance(lower),
        upper: logisticChance(upper),
      };
    });
    const above = [1, ...atLeast.map((entry) => entry.chance), 0];
    return { chances: fit.grades.map((_, k) => above[k]! - above[k + 1]!), atLeast };
  });
}

/** A combination of the parameters, and its variance. */
function logitOf(
  fit: OrdinalFit,
  combination: readonly number[],
): { readonly logit: number; readonly variance: number } {
  let logit = 0;
  let variance = 0;
  combination.forEach((a, r) => {
    logit += a * fit.estimates[r]!;
    combination.forEach((b, c) => {
      variance += a * b * fit.covariance[r]![c]!;
    });
  });
  return { logit, variance };
}

/** Profile limits of a combination of effects and thresholds. */
function profiler(
  standardised: StandardisedProblem,
  factor: number,
): (combination: readonly number[]) => Limits {
  const top = climbOrdinal(standardised.problem);
  return (combination) => profileLimits(ordinalProfile(standardised, top, combination), factor);
}
