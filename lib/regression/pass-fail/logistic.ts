import { type Finding, onlyDefined, requireNumber, requireThat } from "../../errors/index.js";
import { normalQuantile } from "../../numeric/distributions/index.js";
import { fixed } from "../../numeric/figures/index.js";
import type { Alias, LikelihoodFit } from "../common/index.js";
import { coefficientCovariance, coefficientsOf, type DesignBasis, designBasis } from "../common/index.js";
import { type Limits, profileLimits, waldLimits } from "./likelihood-profile.js";
import { logisticClimber } from "./logistic-climb.js";
import { checkPassFail, type LogisticOptions, type PassFailObservations } from "./logistic-data.js";
import { type LogisticProblem, logisticChance } from "./logistic-likelihood.js";
import { logisticProfile } from "./logistic-profile.js";
import { devianceOf, meanMatchingShift } from "./logistic-summary.js";

/** Estimates are changes of the log odds of passing per unit of each column. */
export interface LogisticFit extends LikelihoodFit {
  /** Chance of passing per row. */
  readonly fitted: readonly number[];
  /** Without binomial coefficients, at the penalised maximum. */
  readonly logLikelihood: number;
  /** The maximised quantity: log-likelihood, ln |X'WX| / 2 with Firth's penalty, log prior. */
  readonly objective: number;
  readonly deviance: number;
  /** What FLIC added to the intercept; 0 without it. */
  readonly interceptShift: number;
  readonly penalty: "firth" | "none";
  readonly prior?: { readonly mean: readonly number[]; readonly precision: readonly number[] };
  readonly aliased: readonly Alias[];
  readonly observations: PassFailObservations;
}

/** The climbing problem behind a fit or a set of options. */
export function logisticProblem({
  data,
  basis,
  penalty,
  prior,
}: {
  readonly data: PassFailObservations;
  readonly basis: DesignBasis;
  readonly penalty: "firth" | "none";
  readonly prior: LogisticFit["prior"];
}): LogisticProblem {
  return {
    basis,
    passes: Float64Array.from(data.passes),
    trials:
      data.trials === undefined ? new Float64Array(data.x.length).fill(1) : Float64Array.from(data.trials),
    firth: penalty === "firth",
    prior,
  };
}

function logitsOf(x: readonly (readonly number[])[], beta: readonly number[]): Float64Array {
  return Float64Array.from(x, (row) => row.reduce((sum, value, j) => sum + value * beta[j]!, 0));
}

/**
 * Logistic regression: ln(p / (1 - p)) = x . beta for the chance p of passing.
 *
 * By default with Firth's penalty, which multiplies the likelihood by |X'WX|^(1/2): estimates stay finite
 * when a setting separates passes from failures, and their bias in small data falls to second order. It
 * pulls chances towards 1/2; ask for `flic` when chances are read off. Intervals follow the (penalised)
 * likelihood and are asymmetric and wide where the data say little. With `penalty: "none"` separated data
 * have no maximum: the status is then `max-iterations` and a finding says so.
 *
 * @throws {BeadbenchError} `bad-argument` for rows, names, counts or priors that do not fit together
 * @example fitLogistic({ x: [[1], [1], [1], [1]], passes: [1, 0, 0, 0] }, { names: ["one"] }).estimates[0] // => -0.8473
 * @source D. Firth, Biometrika 80 (1993) 27-38; G. Heinze and M. Schemper, Statistics in Medicine 21 (2002)
 *   2409-2419 (profile intervals); R. Puhr et al., Statistics in Medicine 36 (2017) 2302-2317 (FLIC)
 */
export function fitLogistic(data: PassFailObservations, options: LogisticOptions): LogisticFit {
  checkPassFail(data, options);
  const { names, flic = false, intervals: kind = "profile", level = 0.95, penalty = "firth" } = options;
  requireNumber("level", level, { above: 0, below: 1 });
  const prior = options.prior && {
    mean: options.prior.mean,
    precision: options.prior.sd.map((sd) => 1 / (sd * sd)),
  };
  const basis = designBasis(data.x, names);
  const problem = logisticProblem({ data, basis, penalty, prior });
  const climb = logisticClimber(problem);
  const top = climb(new Float64Array(basis.rank));
  const status = top.converged ? "converged" : Number.isFinite(top.decrement) ? "max-iterations" : "singular";

  const estimates = coefficientsOf(basis, top.gamma);
  const covariance = coefficientCovariance(basis, top.covariance);
  const standardErrors = covariance.map((row, j) => Math.sqrt(row[j]!));
  const findings: Finding[] = basis.aliased.map(({ term, relation }) => ({
    code: "aliased-term",
    severity: "warning",
    message: `${term} cannot be told apart from the other terms: ${relation}`,
    advice: "Drop the term, or run coupons that move it by itself.",
    about: [term],
  }));

  let logits = logitsOf(data.x, estimates);
  let interceptShift = 0;
  if (flic) {
    const intercept = names.findIndex((_, j) => data.x.every((row) => row[j] === 1));
    requireThat(intercept >= 0, "fitLogistic: flic needs an intercept, a column of 1");
    const shift = meanMatchingShift(problem, logits);
    if (shift === undefined) {
      findings.push({
        code: "one-outcome",
        severity: "warning",
        message:
          "all rows have the same outcome, so no intercept matches the observed share: flic was left out",
      });
    } else {
      interceptShift = shift;
      estimates[intercept]! += shift;
      logits = logits.map((value) => value + shift);
    }
  }
  if (status !== "converged") findings.push(noMaximum(logits));

  const limits = (j: number, z: number): Limits => {
    const unit = names.map((_, k) => (k === j ? 1 : 0));
    const free = data.x.every((row) => row[j] === 1) ? interceptShift : 0;
    const { lower, upper } =
      kind === "profile"
        ? profileLimits(logisticProfile({ problem, climb, top, combination: unit }), z)
        : waldLimits({ centre: estimates[j]! - free, standardError: standardErrors[j]! }, z);
    return { lower: lower + free, upper: upper + free };
  };
  const dropped = new Set(basis.aliased.map((alias) => alias.term));
  const intervalsAt = (z: number): LogisticFit["intervals"] =>
    names.flatMap((name, j) =>
      dropped.has(name) ? [] : [{ name, estimate: estimates[j]!, ...limits(j, z), level }],
    );
  const intervals =
    status === "converged" && kind !== "none" ? intervalsAt(normalQuantile(0.5 + level / 2)) : [];

  return {
    status,
    parameters: names,
    estimates,
    covariance,
    standardErrors,
    intervals,
    fitted: Array.from(logits, logisticChance),
    logLikelihood: top.logLikelihood,
    objective: top.objective,
    deviance: devianceOf(problem, logits),
    interceptShift,
    penalty,
    ...onlyDefined({ prior }),
    aliased: basis.aliased,
    iterations: top.iterations,
    observations: data,
    findings,
  };
}

function noMaximum(logits: Float64Array): Finding {
  const largest = logits.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (largest > 12) {
    return {
      code: "separation",
      severity: "error",
      message: `a combination of the terms separates passes from failures (log odds beyond ${fixed(largest, 0)}): the likelihood has no maximum`,
      advice: "Use Firth's penalty, or run coupons between the last pass and the first failure.",
    };
  }
  return {
    code: "no-convergence",
    severity: "error",
    message: "the likelihood was not climbed to its top",
    advice: "Drop terms the data cannot support, or use Firth's penalty.",
  };
}
