import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { normalQuantile } from "../../numeric/index.js";
import { logisticChance } from "./logistic-likelihood.js";
import type { OrdinalFit } from "./ordinal.js";

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
 * Chances of each grade at the given rows; intervals are those of the log odds +- z se.
 *
 * @throws {BeadbenchError} `refused` for a fit that did not converge
 */
export function predictOrdinal(
  fit: OrdinalFit,
  rows: readonly (readonly number[])[],
  level = 0.95,
): GradeChances[] {
  if (fit.status !== "converged")
    throw new BeadbenchError("refused", "predictOrdinal: the fit did not converge");
  const cuts = fit.grades.length - 1;
  const p = fit.parameters.length - cuts;
  const z = normalQuantile(0.5 + requireNumber("level", level, { above: 0, below: 1 }) / 2);
  return rows.map((row, i) => {
    requireThat(row.length === p, `predictOrdinal: row ${i + 1} holds ${row.length} values for ${p} terms`);
    const atLeast = Array.from({ length: cuts }, (_, k) => {
      const combination = [...row, ...Array.from({ length: cuts }, (_, c) => (c === k ? -1 : 0))];
      let logit = 0;
      let variance = 0;
      combination.forEach((a, r) => {
        logit += a * fit.estimates[r]!;
        combination.forEach((b, c) => {
          variance += a * b * fit.covariance[r]![c]!;
        });
      });
      const reach = z * Math.sqrt(Math.max(0, variance));
      return {
        grade: fit.grades[k + 1]!,
        chance: logisticChance(logit),
        lower: logisticChance(logit - reach),
        upper: logisticChance(logit + reach),
      };
    });
    const above = [1, ...atLeast.map((entry) => entry.chance), 0];
    return { chances: fit.grades.map((_, k) => above[k]! - above[k + 1]!), atLeast };
  });
}
