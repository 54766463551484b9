import type { Finding } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import type { LinearFit, Observations, PenalisedSolution } from "../common/index.js";
import { conditionNumber, nameAliases, norm } from "../common/index.js";

interface Context {
  readonly df: number;
  readonly residualSd: number;
  readonly root: Float64Array;
  readonly rounds: number;
  readonly penalised: boolean;
}

/** Largest cosine between the residuals and a regressor column: 0 at the exact minimum. */
function orthogonality({
  solution: { residuals },
  rows,
  root,
  y,
}: {
  readonly solution: PenalisedSolution;
  readonly rows: readonly (readonly number[])[];
  readonly root: Float64Array;
  readonly y: readonly number[];
}): number {
  const length = norm(residuals, 0, residuals.length);
  const target = Float64Array.from(y, (value, i) => value * root[i]!);
  if (length <= 1e-13 * norm(target, 0, target.length)) return 0;
  let worst = 0;
  for (let j = 0; j < (rows[0]?.length ?? 0); j++) {
    let dot = 0;
    let size = 0;
    for (let i = 0; i < rows.length; i++) {
      const value = rows[i]![j]! * root[i]!;
      dot += value * residuals[i]!;
      size += value * value;
    }
    if (size > 0 && length > 0) worst = Math.max(worst, Math.abs(dot) / (Math.sqrt(size) * length));
  }
  return worst;
}

function linearFindings(fit: Pick<LinearFit, "aliased" | "conditionNumber">): Finding[] {
  const findings: Finding[] = fit.aliased.map(({ term, relation }) => ({
    code: "aliased-term",
    severity: "warning",
    message: `${term} cannot be told apart from the other terms: ${relation}; it was dropped`,
    advice: "drop the term, or measure settings that break the relation",
    about: [term],
  }));
  if (fit.aliased.length === 0 && fit.conditionNumber > 1000) {
    findings.push({
      code: "near-collinear",
      severity: "info",
      message: `the terms are nearly dependent: condition number ${significant(fit.conditionNumber)}`,
      advice: "centre or code the factors before powers and products are formed",
    });
  }
  return findings;
}

/** Turns a solved linear problem into the plain result. */
export function summariseLinear({
  observations,
  names,
  solution,
  context,
}: {
  readonly observations: Observations;
  readonly names: readonly string[];
  readonly solution: PenalisedSolution;
  readonly context: Context;
}): LinearFit {
  const { df, residualSd, root, rounds, penalised } = context;
  const p = names.length;
  const { coefficients, inverse, factor } = solution;
  const residuals = Array.from(solution.residuals, (value, i) => value / root[i]!);
  const variance = residualSd * residualSd;
  const covariance = Array.from({ length: p }, (_, i) =>
    Array.from({ length: p }, (_unused, j) => variance * inverse[i * p + j]!),
  );
  const aliased = nameAliases(factor, names, solution.scales);
  const condition =
    aliased.length > 0 ? Number.MAX_VALUE : conditionNumber(observations.x, observations.weights);
  return {
    status: "converged",
    parameters: [...names],
    estimates: Array.from(coefficients),
    standardErrors: covariance.map((row, j) => Math.sqrt(row[j]!)),
    covariance,
    rss: solution.rss,
    df,
    residualSd,
    fitted: residuals.map((value, i) => observations.y[i]! - value),
    residuals,
    leverage: Array.from(solution.leverage),
    observations,
    certificate: {
      criterion: "orthogonality",
      value: penalised ? 0 : orthogonality({ solution, rows: observations.x, root, y: observations.y }),
      tolerance: 1e-6,
      iterations: rounds,
      evaluations: observations.y.length,
      startsTried: 1,
      startsAgreeing: 1,
    },
    findings: linearFindings({ aliased, conditionNumber: condition }),
    atBound: [],
    rank: factor.rank,
    aliased,
    conditionNumber: condition,
  };
}
