import { BeadbenchError, type Finding, requireNumber, requireThat } from "../../errors/index.js";
import { normalQuantile } from "../../numeric/index.js";
import type { LikelihoodFit } from "../common/index.js";
import type { Prior } from "../linear/index.js";
import { checkPrior, checkRow } from "./likelihood-input.js";
import { climbOrdinal, type OrdinalClimb } from "./ordinal-climb.js";
import type { OrdinalProblem } from "./ordinal-likelihood.js";

/** Graded coupons. */
export interface GradedObservations {
  /** One value per name, without an intercept: the thresholds stand for it. */
  readonly x: readonly (readonly number[])[];
  /** Grade of each row: a word of `grades`. */
  readonly grade: readonly string[];
  /** Coupons per row. Default: 1. */
  readonly counts?: readonly number[];
}

export interface OrdinalOptions {
  readonly names: readonly string[];
  /** All grades, worst first (or best first: then signs turn round). */
  readonly grades: readonly string[];
  /** Weak normal beliefs about the effects; they keep separated data finite. */
  readonly prior?: Prior;
  /** Default 0.95. */
  readonly level?: number;
}

/** Parameters are effects by name, then thresholds as `poor|fair`; intervals are estimate +- z standard error. */
export interface OrdinalFit extends LikelihoodFit {
  /** Grades that occurred, in order; the others have no threshold. */
  readonly grades: readonly string[];
}

interface Standardised {
  readonly problem: OrdinalProblem;
  readonly centres: Float64Array;
  readonly spreads: Float64Array;
}

function standardise(
  data: GradedObservations,
  options: OrdinalOptions,
  used: readonly string[],
): Standardised {
  const { names, prior } = options;
  const rows = data.x.length;
  const p = names.length;
  const centres = new Float64Array(p);
  const spreads = new Float64Array(p);
  const z = new Float64Array(rows * p);
  for (let j = 0; j < p; j++) {
    for (const row of data.x) centres[j]! += row[j]! / rows;
    for (const row of data.x) spreads[j]! += (row[j]! - centres[j]!) ** 2 / rows;
    spreads[j] = Math.sqrt(spreads[j]!);
    requireThat(
      data.x.some((row) => row[j] !== data.x[0]![j]),
      `fitOrdinal: ${names[j]} never moves; leave it out (thresholds stand for an intercept)`,
    );
    for (let i = 0; i < rows; i++) z[i * p + j] = (data.x[i]![j]! - centres[j]!) / spreads[j]!;
  }
  const priorMean = Float64Array.from(names, (_, j) => (prior?.mean[j] ?? 0) * spreads[j]!);
  const priorPrecision = Float64Array.from(names, (_, j) =>
    prior === undefined ? 0 : (prior.sd[j]! * spreads[j]!) ** -2,
  );
  const problem = {
    rows,
    columns: p,
    grades: used.length,
    z,
    grade: Int32Array.from(data.grade, (grade) => used.indexOf(grade)),
    count: data.counts === undefined ? new Float64Array(rows).fill(1) : Float64Array.from(data.counts),
    priorMean,
    priorPrecision,
  };
  return { problem, centres, spreads };
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
    checkRow("fitOrdinal", row, i, names);
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
 * never occurred is left out with a finding. Without a prior, grades that a term separates have no maximum.
 *
 * @throws {BeadbenchError} `bad-argument` for rows, grades or priors that do not fit together,
 *   `not-enough-data` with fewer than two grades seen
 * @source P. McCullagh, J. R. Statist. Soc. B 42 (1980) 109-142; held to MASS::polr
 */
export function fitOrdinal(data: GradedObservations, options: OrdinalOptions): OrdinalFit {
  check(data, options);
  const { names, level = 0.95 } = options;
  const z = normalQuantile(0.5 + requireNumber("level", level, { above: 0, below: 1 }) / 2);
  const used = options.grades.filter((grade) => data.grade.includes(grade));
  if (used.length < 2)
    throw new BeadbenchError("not-enough-data", "fitOrdinal needs at least two different grades");
  const { problem, centres, spreads } = standardise(data, options, used);
  const end = climbOrdinal(problem);

  // Back to the user's columns: beta = gamma / spread, threshold = theta + sum gamma centre / spread.
  const cuts = used.length - 1;
  const size = end.parameters.length;
  const map = [
    ...names.map((_, j) =>
      Float64Array.from({ length: size }, (_, a) => (a === cuts + j ? 1 / spreads[j]! : 0)),
    ),
    ...used
      .slice(1)
      .map((_, k) =>
        Float64Array.from({ length: size }, (_, a) =>
          a < cuts ? (a === k ? 1 : 0) : centres[a - cuts]! / spreads[a - cuts]!,
        ),
      ),
  ];
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
  return {
    status: end.status,
    parameters,
    estimates,
    covariance,
    standardErrors,
    intervals:
      end.status === "converged"
        ? parameters.map((name, j) => {
            const reach = z * standardErrors[j]!;
            return {
              name,
              estimate: estimates[j]!,
              lower: estimates[j]! - reach,
              upper: estimates[j]! + reach,
              level,
            };
          })
        : [],
    grades: used,
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
