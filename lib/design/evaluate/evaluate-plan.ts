import { grouped, requireNumber, requireThat } from "../../errors/index.js";
import { mean, randomStream } from "../../numeric/index.js";
import { richestModel } from "../classical/index.js";
import type { PlanModel } from "../model/index.js";
import { basisOf, covarianceOf, type ModelMatrix, pickColumns, sortedColumns } from "../model/index.js";
import {
  type DesignLimit,
  makeAxes,
  makeRegion,
  requireAllowedPoint,
  type Settings,
  type Survival,
} from "../region/index.js";
import { evaluateCoupons } from "./evaluate-coupons.js";
import { correlationsOf, describeAliased, evaluateTerms, findLeaks } from "./evaluate-terms.js";
import type { EvaluatedPlan, PlanEvaluation } from "./evaluation.js";
import { evaluationFindings } from "./evaluation-findings.js";
import { errorStrata, layOutCoupons, modelRows } from "./evaluation-layout.js";
import { efficiencyOf, evaluatePrediction, regionRows } from "./prediction-variance.js";
import { type CouponWorlds, expectedSurvivors, weighed } from "./survivors.js";

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
  /** Chance that each of those gave dimensions or will: 1 where it did, 0 where it failed. Default 1. */
  readonly existingSurvival?: readonly number[];
  /** Chance that a coupon gives dimensions; all figures then are those of the information expected. Default: all survive. */
  readonly survival?: Survival;
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
 * With a chance to survive every coupon counts by it, as the information expected of it; degrees of freedom are those left
 * by the coupons expected to survive.
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
  const region = makeRegion(axes, limits, options.survival);
  const allowed = requireAllowedPoint(region, randomStream(seed));
  const layout = layOutCoupons({ plan, axes, existing, existingOffset: options.existingOffset ?? false });
  const count = layout.coded.length;
  const model = options.model ?? richestModel(axes, count - (layout.blocks - 1)) ?? "linear";
  const local = typeof model === "string" ? model : { ...model, parameters: model.parameters.slice(0, 1) };
  const basis = basisOf(axes, local, layout.blocks);
  const worlds = survivalWorlds(plan, options);
  const lives = worlds.map((chances) => mean(Array.from(chances)));
  const living = lives.reduce((sum, chance) => sum + chance, 0);
  const plain = modelRows(basis, layout.coded);
  const all = weighed(plain, lives);
  const { kept, dependent } = sortedColumns(all);
  const matrix: ModelMatrix = {
    rows: pickColumns(all, kept),
    plots: layout.plots,
    varianceRatio: layout.split ? (options.varianceRatio ?? 1) : 0,
  };
  const covariance = covarianceOf(matrix)!;
  const error = errorStrata({ axes, basis, layout, matrix, kept, lost: Math.round(count - living) });
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
    pureErrorDegreesOfFreedom: Math.round(living - settingsExpected(layout.coded, lives)),
    ...(options.survival === undefined
      ? {}
      : {
          survivors: expectedSurvivors({
            worlds,
            fresh: plan.runs.length,
            matrix: { ...matrix, rows: pickColumns(plain, kept) },
            region: spread,
            sd,
            terms: basis.size,
            seed,
          }),
        }),
    ...(layout.split ? { wholePlots: new Set(layout.plots).size } : {}),
    change,
    sd,
    level,
    terms: evaluateTerms(estimated, { change, sd, level }),
    aliased: describeAliased({ basis, rows: all, kept, dependent }),
    leaks:
      typeof model === "string"
        ? findLeaks(estimated, model, (full) => weighed(modelRows(full, layout.coded), lives))
        : [],
    correlations: correlationsOf(basis, kept, covariance),
    prediction,
    efficiency: efficiencyOf({ covariance, runs: count, prediction, sd }),
    coupons: evaluateCoupons({ matrix, covariance, region: spread, names, called: options.couponNames }),
  };
  return { ...evaluation, findings: evaluationFindings(evaluation) };
}

/** Chances of every coupon, new ones first, under each picture of the rig. */
function survivalWorlds(plan: EvaluatedPlan, options: EvaluationOptions): CouponWorlds {
  const { survival = () => [1], existing = [] } = options;
  const known = options.existingSurvival ?? existing.map(() => 1);
  requireThat(
    known.length === existing.length,
    `existingSurvival needs one chance per existing coupon (${existing.length}), got ${known.length}`,
  );
  return [
    ...plan.runs.map(({ settings }) => survival(settings)),
    ...known.map((chance) => [requireNumber("existingSurvival", chance, { min: 0, max: 1 })]),
  ];
}

/** Number of different settings of which at least one coupon is expected to survive. */
function settingsExpected(coded: readonly (readonly number[])[], lives: readonly number[]): number {
  const places = grouped(
    coded.map((row, i) => ({ key: JSON.stringify(row), i })),
    ({ key }) => key,
  );
  return [...places.values()].reduce(
    (sum, same) => sum + 1 - same.reduce((none, { i }) => none * (1 - lives[i]!), 1),
    0,
  );
}
