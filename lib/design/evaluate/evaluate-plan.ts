import { requireNumber, requireThat } from "../../errors/index.js";
import { randomStream } from "../../numeric/index.js";
import { richestModel } from "../classical/index.js";
import type { PlanModel } from "../model/index.js";
import { basisOf, covarianceOf, type ModelMatrix, pickColumns, sortedColumns } from "../model/index.js";
import {
  type DesignLimit,
  makeAxes,
  makeRegion,
  requireAllowedPoint,
  type Settings,
} from "../region/index.js";
import { evaluateCoupons } from "./evaluate-coupons.js";
import { correlationsOf, describeAliased, evaluateTerms, findLeaks } from "./evaluate-terms.js";
import type { EvaluatedPlan, PlanEvaluation } from "./evaluation.js";
import { evaluationFindings } from "./evaluation-findings.js";
import { errorStrata, layOutCoupons, modelRows } from "./evaluation-layout.js";
import { efficiencyOf, evaluatePrediction, regionRows } from "./prediction-variance.js";

/** Options of {@link evaluatePlan}, each with its default. */
export interface EvaluationOptions {
  /** Default: the richest polynomial that leaves two coupons over. A nonlinear model is taken at its first row of parameters. */
  readonly model?: PlanModel;
  /** Change in a response worth detecting, and its standard deviation from coupon to coupon. Default 2 and 1. */
  readonly change?: number;
  readonly sd?: number;
  /** Confidence level of the tests behind power. Default 0.95. */
  readonly level?: number;
  /** Cut the region over which predictions are judged. */
  readonly limits?: readonly DesignLimit[];
  /** Coupons already run, fitted together with the plan. */
  readonly existing?: readonly Settings[];
  /** What the coupons are called, new ones first, then those run. Default: their numbers. */
  readonly couponNames?: readonly string[];
  /** Whether those may be offset from the new ones. Default false; always so beside blocks. */
  readonly existingOffset?: boolean;
  /** Variance between whole plots over variance between coupons. Default 1. */
  readonly varianceRatio?: number;
  /** For the points at which predictions are judged. Default 1. */
  readonly seed?: number;
}

/**
 * Judges a plan before any coupon is run: what can be estimated, how surely, what is mixed with what, and
 * what hangs on each coupon. Control coupons count like any other.
 *
 * Power and standard errors hold for the model they are computed for and for normal scatter of the stated
 * size; they say nothing about terms left out, except under `leaks`.
 *
 * @throws {BeadbenchError} `bad-argument` for settings that do not fit the factors, or a level outside 0 to 1
 */
export function evaluatePlan(plan: EvaluatedPlan, options: EvaluationOptions = {}): PlanEvaluation {
  const { change = 2, sd = 1, level = 0.95, existing = [], limits = [], seed = 1 } = options;
  requireNumber("change", change, { above: 0 });
  requireNumber("sd", sd, { above: 0 });
  requireNumber("level", level, { above: 0, below: 1 });
  const together = plan.runs.length + existing.length;
  requireThat(together >= 2, `an evaluation needs at least 2 coupons, old and new together, got ${together}`);
  const axes = makeAxes(plan.factors);
  const region = makeRegion(axes, limits);
  const allowed = requireAllowedPoint(region, randomStream(seed));
  const layout = layOutCoupons({ plan, axes, existing, existingOffset: options.existingOffset ?? false });
  const count = layout.coded.length;
  const model = options.model ?? richestModel(axes, count - (layout.blocks - 1)) ?? "linear";
  const local = typeof model === "string" ? model : { ...model, parameters: model.parameters.slice(0, 1) };
  const basis = basisOf(axes, local, layout.blocks);
  const all = modelRows(basis, layout.coded);
  const { kept, dependent } = sortedColumns(all);
  const matrix: ModelMatrix = {
    rows: pickColumns(all, kept),
    plots: layout.plots,
    varianceRatio: layout.split ? (options.varianceRatio ?? 1) : 0,
  };
  const covariance = covarianceOf(matrix)!;
  const error = errorStrata({ axes, basis, layout, matrix, kept });
  const estimated = { axes, basis, kept, matrix, covariance, error };
  const spread = regionRows({ region, allowed, basis, kept, seed });
  const prediction = evaluatePrediction(spread, covariance, sd);
  const names = kept.map((column) => basis.names[column]!);
  const evaluation = {
    runs: plan.runs.length,
    existing: existing.length,
    parameters: basis.size,
    rank: kept.length,
    residualDegreesOfFreedom: error.residual,
    pureErrorDegreesOfFreedom: count - new Set(layout.coded.map((row) => JSON.stringify(row))).size,
    ...(layout.split ? { wholePlots: new Set(layout.plots).size } : {}),
    change,
    sd,
    level,
    terms: evaluateTerms(estimated, { change, sd, level }),
    aliased: describeAliased({ basis, rows: all, kept, dependent }),
    leaks: typeof model === "string" ? findLeaks(estimated, model, layout.coded) : [],
    correlations: correlationsOf(basis, kept, covariance),
    prediction,
    efficiency: efficiencyOf({ covariance, runs: count, prediction, sd }),
    coupons: evaluateCoupons({ matrix, covariance, region: spread, names, called: options.couponNames }),
  };
  return { ...evaluation, findings: evaluationFindings(evaluation) };
}
