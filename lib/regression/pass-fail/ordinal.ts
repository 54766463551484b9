import { BeadbenchError, type Finding, onlyDefined, requireNumber, requireThat } from "../../errors/index.js";
import type { Interval, LikelihoodFit } from "../common/index.js";
import type { CoefficientPrior } from "../linear/index.js";
import { checkPrior, checkRow } from "./likelihood-input.js";
import { profileLimits, waldLimits } from "./likelihood-profile.js";
import { climbOrdinal, type OrdinalClimb } from "./ordinal-climb.js";
import {
  type EffectPrior,
  type GradedObservations,
  ordinalFactor,
  standardiseColumns,
} from "./ordinal-problem.js";
import { ordinalProfile } from "./ordinal-profile.js";

export interface OrdinalOptions {
  readonly names: readonly string[];
  /** All grades, worst first (or best first: then signs turn round). */
  readonly grades: readonly string[];
  /** Weak normal beliefs about the effects; they keep separated data finite. */
  readonly prior?: CoefficientPrior;
  /** `profile` (default) follows the likelihood, `wald` takes estimate +- t se. */
  readonly intervals?: "profile" | "wald";
  /** Default 0.95. */
  readonly level?: number;
}

/** Parameters are effects by name, then thresholds as `poor|fair`. Plain data. */
export interface OrdinalFit extends LikelihoodFit {
  /** Grades that occurred, in order; the others have no threshold. */
  readonly grades: readonly string[];
  readonly prior?: EffectPrior;
  readonly observations: GradedObservations;
}

function check(data: GradedObservations, { names, grades, prior }: OrdinalOptions): void {
  requireThat(
    names.length > 0 && new Set(grades).size === grades.length,
    "fitOrdinal needs names and distinct grades",
  );
  requireThat(
    data.grade.length === data.x.length && (data.counts ?? data.grade).length === data.x.length,
    `fitOrdinal: ${data.x.length} rows of x need as many grades (${data.grade.length}) and counts`,
  );
  data.x.forEach((row, i) => {
    checkRow({ caller: "fitOrdinal", row, place: i, names });
    requireThat(
      grades.includes(data.grade[i]!),
      `fitOrdinal: grade of row ${i + 1} must be one of ${grades.join(", ")}, got ${data.grade[i]}`,
    );
    requireNumber(`fitOrdinal: count of row ${i + 1}`, data.counts?.[i] ?? 1, { above: 0 });
  });
  checkPrior("fitOrdinal", prior, names.length);
}

/**
 * Ordered grades by the cumulative logit model (proportional odds):
 *
 *     ln [P(grade <= k) / P(grade > k)] = threshold_k - x . beta
 *
 * A positive effect moves coupons to later grades. The effects are taken as the same at every threshold;
 * where a setting turns poor beads fair but never fair ones good, fit each step by itself. A grade that
 * never occurred is left out with a finding. Without a prior, grades that a term separates have no maximum. Intervals
 * follow the likelihood and are asymmetric where the data say little; t with the coupons left over stands for the normal
 * quantile, without which nominal 95 % limits of 12 to 20 coupons held 89 to 93 % in simulated studies.
 *
 * @throws {BeadbenchError} `bad-argument` for rows, grades or priors that do not fit together,
 *   `not-enough-data` with fewer than two grades seen
 * @source P. McCullagh, J. R. Statist. Soc. B 42 (1980) 109-142; held to MASS::polr
 */
export function fitOrdinal(data: GradedObservations, options: OrdinalOptions): OrdinalFit {
  check(data, options);
  const { names, level = 0.95, intervals: kind = "profile" } = options;
  const used = options.grades.filter((grade) => data.grade.includes(grade));
  if (used.length < 2)
    throw new BeadbenchError("not-enough-data", "fitOrdinal needs at least two different grades");
  const prior = options.prior && {
    mean: options.prior.mean,
    precision: options.prior.sd.map((sd) => sd ** -2),
  };
  const standardised = standardiseColumns({ data, names, used, prior });
  const { map } = standardised;
  const end = climbOrdinal(standardised.problem);
  const factor = ordinalFactor(standardised, level);

  const size = end.parameters.length;
  const estimates = map.map((row) => row.reduce((sum, value, a) => sum + value * end.parameters[a]!, 0));
  const half = map.map((row) =>
    Float64Array.from({ length: size }, (_, b) =>
      row.reduce((sum, value, a) => sum + value * end.inverse[a * size + b]!, 0),
    ),
  );
  const covariance = half.map((row) =>
    map.map((other) => other.reduce((sum, value, b) => sum + value * row[b]!, 0)),
  );
  const standardErrors = covariance.map((row, j) => Math.sqrt(row[j]!));
  const parameters = [...names, ...used.slice(1).map((grade, k) => `${used[k]}|${grade}`)];
  const intervalOf = (name: string, j: number): Interval => {
    const profile = ordinalProfile(
      standardised,
      end,
      parameters.map((_, k) => Number(k === j)),
    );
    const { lower, upper } =
      kind === "profile" ? profileLimits(profile, factor) : waldLimits(profile, factor);
    return { name, estimate: estimates[j]!, lower, upper, level };
  };
  return {
    status: end.status,
    parameters,
    estimates,
    covariance,
    standardErrors,
    intervals: end.status === "converged" ? parameters.map(intervalOf) : [],
    grades: used,
    ...onlyDefined({ prior }),
    observations: data,
    logLikelihood: end.value,
    iterations: end.iterations,
    findings: findingsFor(options.grades, used, end),
  };
}

function findingsFor(grades: readonly string[], used: readonly string[], end: OrdinalClimb): Finding[] {
  const findings: Finding[] = [];
  const unused = grades.filter((grade) => !used.includes(grade));
  if (unused.length > 0) {
    findings.push({
      code: "unused-grade",
      severity: "info",
      message: `no coupon was graded ${unused.join(" or ")}: no chance is given for it`,
      about: unused,
    });
  }
  if (end.status !== "converged") {
    const separated = end.parameters.some((value) => Math.abs(value) > 12);
    findings.push({
      code: separated ? "separation" : "no-convergence",
      severity: "error",
      message: separated
        ? "a term separates the grades: the likelihood has no maximum"
        : "the likelihood was not climbed to its top: terms may be combinations of each other",
      advice: separated ? "Give a weak prior, or run coupons between the grades." : "Drop a term.",
    });
  }
  return findings;
}
