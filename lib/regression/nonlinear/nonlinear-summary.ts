import type { Finding } from "../../errors/index.js";
import { brief, leverages, significant } from "../../numeric/index.js";
import type { Certificate, ConvergedFit, FailedFit, Observations, Problem } from "../common/index.js";
import { roundingFloor } from "../common/index.js";
import type { Attempt } from "./attempt.js";
import type { Polished } from "./polish.js";
import { freeInverse } from "./probe.js";

type Counts = Omit<Certificate, "criterion" | "value">;

/** Model values and residuals in the unit of y. */
function unweighted(observations: Observations, problem: Problem, theta: readonly number[]) {
  const fitted = observations.x.map((row) => problem.model.predict(theta, row));
  return { fitted, residuals: fitted.map((value, i) => observations.y[i]! - value) };
}

function boundFinding(name: string, value: number): Finding {
  return {
    code: "at-bound",
    severity: "warning",
    message: `${name} sits at its bound ${brief(value, 6)}: the data would push it further`,
    advice: "give no symmetric interval for it; widen the bound if physics allows, or fix the parameter",
    about: [name],
  };
}

/** How the search ended. */
export interface Ending {
  readonly counts: Counts;
  /** Sum of squares of the given start's minimum, where a further start found a better one. */
  readonly beaten: number | undefined;
  /** Estimates at which other starts ended with the same sum of squares. */
  readonly alike: readonly (readonly number[])[];
}

function alikeFinding(names: readonly string[], theta: readonly number[], other: readonly number[]): Finding {
  const apart = names.filter((_, j) => isElsewhere([theta[j]!], [other[j]!]));
  const values = (at: readonly number[]): string =>
    apart.map((name) => `${name} = ${significant(at[names.indexOf(name)]!)}`).join(", ");
  return {
    code: "equal-minima",
    severity: "warning",
    message: `${values(other)} fits as well as ${values(theta)}: the data do not tell them apart, and the intervals hold for one of them alone`,
    advice:
      "start near the values that can be, or bound them; readings at uneven steps tell such values apart",
    about: apart,
  };
}

/** Whether two ends are different places, and not one place rounded twice. */
export function isElsewhere(a: readonly number[], b: readonly number[]): boolean {
  return a.some((value, j) => Math.abs(value - b[j]!) > 1e-3 * Math.max(Math.abs(value), Math.abs(b[j]!)));
}

function startFinding(beaten: number, rss: number): Finding {
  return {
    code: "better-start",
    severity: "info",
    message: `a better minimum was found from another start: residual sum of squares ${significant(rss, 4)} and not ${significant(beaten, 4)}`,
    advice: "look at the fit beside the data; start from these estimates next time",
  };
}

/** The plain result of a polished, certified point. */
export function summariseFit({
  observations,
  problem,
  polished,
  ending: { counts, beaten, alike },
}: {
  readonly observations: Observations;
  readonly problem: Problem;
  readonly polished: Polished;
  readonly ending: Ending;
}): ConvergedFit {
  const { theta, free, factor, rss } = polished;
  const names = problem.model.parameters;
  const df = problem.rows - free.length;
  const variance = rss / df;
  const inverse = freeInverse(polished);
  const covariance = names.map(() => new Array<number>(names.length).fill(0));
  free.forEach((i, k) => {
    free.forEach((j, l) => {
      covariance[i]![j] = variance * inverse[k * free.length + l]!;
    });
  });
  const atBound = names.filter((_, j) => !free.includes(j));
  return {
    status: "converged",
    parameters: [...names],
    estimates: [...theta],
    standardErrors: covariance.map((row, j) => Math.sqrt(row[j]!)),
    covariance,
    rss,
    df,
    residualSd: Math.sqrt(variance),
    ...unweighted(observations, problem, theta),
    leverage: Array.from(leverages(factor)),
    observations,
    certificate: { criterion: "relative offset", value: polished.offset, ...counts },
    findings: [
      ...atBound.map((name) => boundFinding(name, theta[names.indexOf(name)]!)),
      ...(beaten === undefined ? [] : [startFinding(beaten, rss)]),
      ...alike.slice(0, 1).map((other) => alikeFinding(names, theta, other)),
      ...roundingFloor(rss, polished.bulk),
    ],
    atBound,
  };
}

function reason(problem: Problem, attempt: Attempt): Finding {
  const names = attempt.flat.map((j) => problem.model.parameters[j]!);
  if (attempt.status === "singular") {
    return {
      code: "undetermined-parameters",
      severity: "error",
      message: `the data do not determine ${names.join(" and ")}: changing ${names.length > 1 ? "them" : "it"} leaves the fit as it is`,
      advice: "fix the parameter, use a simpler model, or measure where it matters",
      about: names,
    };
  }
  if (attempt.status === "non-finite") {
    return {
      code: "model-not-finite",
      severity: "error",
      message: "the model gave a value that is not finite at every start tried",
      advice: "give a start, or bounds, where the model can be evaluated at every row",
    };
  }
  return {
    code: "no-convergence",
    severity: "error",
    message: `no minimum was reached after ${attempt.iterations} steps (relative offset ${significant(attempt.polished?.offset ?? Number.NaN, 2)})`,
    advice:
      "start nearer, allow more steps or starts, or simplify the model; where the model itself is only computed roughly, raise the tolerance",
  };
}

/** JSON has no infinity: what ran away is given as the largest number. */
const bounded = (value: number): number =>
  Number.isFinite(value) ? value : Number.isNaN(value) ? 0 : Math.sign(value) * Number.MAX_VALUE;

/** The plain result of a fit that stopped short, with the reason. */
export function summariseFailure({
  observations,
  problem,
  attempt,
  counts,
}: {
  readonly observations: Observations;
  readonly problem: Problem;
  readonly attempt: Attempt;
  readonly counts: Counts;
}): FailedFit {
  const { fitted, residuals } = unweighted(observations, problem, attempt.theta);
  return {
    status: attempt.status as FailedFit["status"],
    parameters: [...problem.model.parameters],
    estimates: attempt.theta.map(bounded),
    rss: attempt.rss,
    df: problem.rows - problem.size,
    fitted: fitted.map(bounded),
    residuals: residuals.map(bounded),
    observations,
    certificate: {
      criterion: "relative offset",
      value: attempt.polished?.offset ?? Number.MAX_VALUE,
      ...counts,
    },
    findings: [reason(problem, attempt)],
  };
}
