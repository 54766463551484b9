import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { standardDeviation } from "../../numeric/index.js";
import type { LinearFit, Observations } from "../common/index.js";
import {
  checkObservations,
  type PenalisedSolution,
  type Penalty,
  requireRows,
  solvePenalised,
} from "../common/index.js";
import { summariseLinear } from "./linear-summary.js";

/** Independent normal beliefs about coefficients held before the data. */
export interface CoefficientPrior {
  readonly mean: readonly number[];
  /** Infinity for "no opinion". */
  readonly sd: readonly number[];
}

export interface LinearOptions {
  readonly names: readonly string[];
  readonly prior?: CoefficientPrior;
  /** Known standard deviation of an observation of weight 1, against which the prior is weighed. Default: estimated. */
  readonly residualSd?: number;
  /** Penalty on the sum of squared coefficients of columns scaled to unit spread; constant columns are free. */
  readonly ridge?: number;
  /** Relative to the largest diagonal entry of R. Default: max(n, p) times the machine precision. */
  readonly rankTolerance?: number;
}

/** Penalty rows for a residual standard deviation, or undefined without prior and ridge. */
function penaltyFor(options: LinearOptions, spreads: Float64Array, residualSd: number): Penalty | undefined {
  const { prior, ridge } = options;
  if (prior === undefined && ridge === undefined) return undefined;
  const columns = options.names.length;
  const weights = new Float64Array(columns);
  const centres = new Float64Array(columns);
  for (let j = 0; j < columns; j++) {
    const fromPrior = prior === undefined ? 0 : (residualSd / prior.sd[j]!) ** 2;
    const fromRidge = (ridge ?? 0) * spreads[j]! ** 2;
    weights[j] = Math.sqrt(fromPrior + fromRidge);
    if (fromPrior > 0) centres[j] = (fromPrior * prior!.mean[j]!) / (fromPrior + fromRidge);
  }
  return { weights, centres };
}

/** Standard deviation of each column; a constant column counts as 0 and is not penalised by the ridge. */
function columnSpreads(x: readonly (readonly number[])[], columns: number): Float64Array {
  return Float64Array.from({ length: columns }, (_, j) => standardDeviation(x.map((row) => row[j]!)));
}

function checkOptions(observations: Observations, options: LinearOptions): void {
  const { names, prior, ridge, residualSd } = options;
  checkObservations("fitLinear", observations);
  requireThat(names.length > 0, "fitLinear needs at least one term in `names`");
  const width = observations.x[0]?.length ?? 0;
  requireThat(
    width === names.length,
    `fitLinear: ${names.length} names for rows of ${width} values; give one value per term, 1 for an intercept`,
  );
  if (ridge !== undefined) requireNumber("fitLinear: ridge", ridge, { min: 0 });
  if (residualSd !== undefined) requireNumber("fitLinear: residualSd", residualSd, { above: 0 });
  if (prior === undefined) return;
  requireThat(
    prior.mean.length === names.length && prior.sd.length === names.length,
    `fitLinear: the prior needs a mean and an sd for each of the ${names.length} terms`,
  );
  prior.sd.forEach((sd, j) => {
    requireThat(
      sd > 0,
      `fitLinear: the prior sd of ${names[j]} must be above 0 (Infinity for no opinion), got ${sd}`,
    );
    if (sd < Number.POSITIVE_INFINITY)
      requireNumber(`fitLinear: the prior mean of ${names[j]}`, prior.mean[j]!);
  });
}

/**
 * Linear least squares by column-pivoted, iteratively refined Householder QR; optional weights, weak normal
 * priors or a ridge.
 *
 *     minimise sum w (y - x . beta)^2 + s^2 sum ((beta - mean) / sd)^2 + ridge sum (beta spread)^2
 *
 * Terms the data cannot tell apart are dropped, named in `aliased` and said in the findings; predictions stay right
 * only where x keeps the same relation. With a prior or ridge, df is n - trace(hat), the covariance is that of the
 * posterior, and s is estimated together with beta unless `residualSd` is given.
 *
 * @param observations - rows of x hold one value per term (1 for an intercept); weights are inverse variances
 * @throws {BeadbenchError} `bad-argument` for malformed input, `not-enough-data` without a spare row
 * @source Golub and Van Loan (2013) section 5.5; Bjorck (1967) for the refinement
 * @example fitLinear({ x: [[1, 0], [1, 1], [1, 2]], y: [1, 3, 5.3] }, { names: ["constant", "slope"] }).estimates[1] // => 2.15
 */
export function fitLinear(observations: Observations, options: LinearOptions): LinearFit {
  checkOptions(observations, options);
  const { names } = options;
  const { x: rows, y, weights } = observations;
  const n = y.length;
  const p = names.length;
  const penalised = options.prior !== undefined || options.ridge !== undefined;
  if (!penalised || options.residualSd === undefined) requireRows("fitLinear", n, penalised ? 1 : 0);
  const root = Float64Array.from(y, (_, i) => Math.sqrt(weights?.[i] ?? 1));
  const x = new Float64Array(n * p);
  for (let j = 0; j < p; j++) for (let i = 0; i < n; i++) x[j * n + i] = rows[i]![j]! * root[i]!;
  const target = Float64Array.from(y, (value, i) => value * root[i]!);
  const spreads = options.ridge === undefined ? new Float64Array(p) : columnSpreads(rows, p);

  const solve = (sd: number): PenalisedSolution =>
    solvePenalised({
      x,
      y: target,
      columns: p,
      penalty: penaltyFor(options, spreads, sd),
      rankTolerance: options.rankTolerance,
    });
  const spare = (solution: PenalisedSolution): number =>
    penalised ? n - solution.leverage.reduce((sum, h) => sum + h, 0) : n - solution.factor.rank;

  let residualSd = options.residualSd ?? 0;
  let solution = solve(residualSd);
  let rounds = 1;
  if (options.prior !== undefined && options.residualSd === undefined) {
    residualSd =
      spare(solution) >= 1
        ? Math.sqrt(solution.rss / spare(solution))
        : standardDeviation(Array.from(target)) / 10;
    for (; rounds < 100; rounds++) {
      solution = solve(residualSd);
      const next = Math.sqrt(solution.rss / spare(solution));
      const settled = Math.abs(next - residualSd) <= 1e-13 * residualSd;
      residualSd = next;
      if (settled) break;
    }
  }
  const df = spare(solution);
  if (!(df > 0)) {
    throw new BeadbenchError(
      "not-enough-data",
      `fitLinear: ${n} rows leave no spare row for ${solution.factor.rank} terms: measure more or drop terms`,
    );
  }
  residualSd = options.residualSd ?? Math.sqrt(solution.rss / df);
  return summariseLinear({
    observations,
    names,
    solution,
    context: { df, residualSd, root, rounds, penalised },
  });
}
