import { type Finding, requireNumber, requireThat } from "../../errors/index.js";
import { mean, significant, standardDeviation } from "../../numeric/index.js";
import type { Fit, Interval, Model, Observations } from "../common/index.js";
import {
  checkObservations,
  coefficientCovariance,
  designBasis,
  parameterSlopes,
  requireRows,
  tFactor,
} from "../common/index.js";
import { type Psi, psiOf, ROBUST_TUNING } from "./robust-psi.js";
import { inStandardUnits, type RobustEnd, residualsOf, reweight } from "./robust-reweight.js";

export interface RobustOptions {
  /** `huber` limits the pull of a far row, `bisquare` (default) ends it. */
  readonly kind?: "huber" | "bisquare";
  /** Scaled residual where a row starts to lose weight (Huber) or has lost all. Default 1.345 or 4.685. */
  readonly tuning?: number;
  /** Default 0.95. */
  readonly level?: number;
}

/** A row that lost most of its weight. */
export interface Outlier {
  /** 0-based row. */
  readonly row: number;
  readonly residual: number;
  /** Residual over the robust scale. */
  readonly scaled: number;
  readonly weight: number;
}

export interface RobustFit {
  readonly status: "converged" | "max-iterations";
  readonly parameters: readonly string[];
  readonly estimates: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  readonly standardErrors: readonly number[];
  /** Estimate +- t(n - p) standard error: right for many rows, a little short for few. */
  readonly intervals: readonly Interval[];
  /** Median absolute residual / 0.6745. */
  readonly scale: number;
  readonly residuals: readonly number[];
  /** What is left of each row's weight, 0 to 1. */
  readonly weights: readonly number[];
  /** Rows with less than half of their weight, least first. */
  readonly outliers: readonly Outlier[];
  readonly iterations: number;
  readonly findings: readonly Finding[];
}

/**
 * M-estimates: the model that most rows agree on, with the rows that disagree listed.
 *
 *     sum psi(r_i / s) dr_i / d theta = 0,   s = median |r| / 0.6745
 *
 * by iteratively reweighted least squares; the bisquare starts from Huber's solution, since it may have
 * several. Protects against odd responses, not against odd settings: a row far out in x pulls the fit to
 * itself before it can look odd. With many repeats that agree exactly the scale is 0 and nothing is tested.
 *
 * @throws {BeadbenchError} `not-enough-data` without a spare row, `refused` when a least-squares fit fails, `bad-argument` where variances leave
 *   the range of numbers
 * @source P. J. Huber, Robust Statistics (1981), 7.6 and 7.8; A. E. Beaton and J. W. Tukey, Technometrics 16
 *   (1974) 147-185
 * @example fitRobust({ observations: { x: [0, 1, 2, 3, 4, 5].map((x) => [1, x]), y: [0, 1.1, 2, 30, 3.9, 5] }, model: linearModel(["a", "b"]), leastSquares: (rows) => fitLinear(rows, { names: ["a", "b"] }) }).outliers.map(({ row }) => row) // => [3]
 */
export function fitRobust({
  observations,
  model,
  leastSquares,
  ...options
}: {
  readonly observations: Observations;
  /** Linear (see {@link linearModel}) or not. */
  readonly model: Model;
  /** Fits the model to rows with weights; for example `(rows) => fitLinear(rows, { names })`. */
  readonly leastSquares: (rows: Observations) => Fit;
} & RobustOptions): RobustFit {
  const { kind = "bisquare", level = 0.95 } = options;
  checkObservations("fitRobust", observations);
  requireRows("fitRobust", observations.y.length, model.parameters.length);
  const tuning = requireNumber("fitRobust: tuning", options.tuning ?? ROBUST_TUNING[kind], { above: 0 });
  const equal = new Array<number>(observations.y.length).fill(1);
  const start =
    kind === "huber"
      ? equal
      : reweight({
          observations,
          model,
          leastSquares,
          psi: psiOf("huber", ROBUST_TUNING.huber),
          start: equal,
        }).weights;
  const psi = psiOf(kind, tuning);
  const end = reweight({ observations, model, leastSquares, psi, start });
  return summarise({ observations, model, end, psi, level });
}

/**
 * Covariance (Huber 1981, 7.6.8): K^2 [sum psi^2 s^2 / (n - p)] / (mean psi')^2 (J'J)^-1 with
 * K = 1 + (p / n) var(psi') / (mean psi')^2.
 */
function summarise({
  observations,
  model,
  end,
  psi,
  level,
}: {
  readonly observations: Observations;
  readonly model: Model;
  readonly end: RobustEnd;
  readonly psi: Psi;
  readonly level: number;
}): RobustFit {
  const { estimates, scale, weights } = end;
  const { parameters } = model;
  const n = observations.y.length;
  const p = parameters.length;
  const residuals = residualsOf(model, estimates, observations);
  const standard = inStandardUnits(residuals, observations);
  const slopes = standard.map((r) => (scale > 0 ? psi.slope(r / scale) : 1));
  const meanSlope = mean(slopes);
  const variance = standardDeviation(slopes) ** 2;
  const kappa = 1 + (p * variance) / (n * meanSlope ** 2);
  const sum = standard.reduce((total, r, i) => total + (r * weights[i]!) ** 2, 0);
  const factor = (sum / (n - p)) * (kappa / meanSlope) ** 2;

  const jacobian = parameterSlopes(model, estimates, observations.x).map((row, i) =>
    row.map((value) => value * Math.sqrt(observations.weights?.[i] ?? 1)),
  );
  const basis = designBasis(jacobian, parameters);
  const gram = new Float64Array(basis.rank * basis.rank);
  for (let k = 0; k < basis.rank; k++) gram[k * basis.rank + k] = factor;
  const covariance = coefficientCovariance(basis, gram);
  requireThat(
    covariance.every((row) => row.every(Number.isFinite)),
    "fitRobust: the variances of the estimates are too large to be written as numbers; bring terms and response to a common scale",
  );
  const standardErrors = covariance.map((row, j) => Math.sqrt(row[j]!));
  const reach = tFactor(level, n - p);
  const outliers = residuals
    .map((residual, row) => ({
      row,
      residual,
      scaled: scale > 0 ? standard[row]! / scale : 0,
      weight: weights[row]!,
    }))
    .filter((row) => row.weight < 0.5)
    .sort((a, b) => a.weight - b.weight || Math.abs(b.scaled) - Math.abs(a.scaled));
  return {
    status: end.converged ? "converged" : "max-iterations",
    parameters,
    estimates,
    covariance,
    standardErrors,
    intervals: parameters.map((name, j) => {
      const half = reach * standardErrors[j]!;
      return {
        name,
        estimate: estimates[j]!,
        lower: estimates[j]! - half,
        upper: estimates[j]! + half,
        level,
      };
    }),
    scale,
    residuals,
    weights,
    outliers,
    iterations: end.iterations,
    findings: findingsFor(outliers, n, scale),
  };
}

function findingsFor(outliers: readonly Outlier[], rows: number, scale: number): Finding[] {
  const findings: Finding[] = [];
  if (scale === 0) {
    findings.push({
      code: "zero-scale",
      severity: "warning",
      message: "more than half of the rows are met exactly: there is no scatter to judge the others by",
    });
  }
  if (outliers.length > 0) {
    const listed = outliers.slice(0, 5).map((o) => `row ${o.row + 1} (${significant(o.scaled, 2)} sd)`);
    findings.push({
      code: "outliers",
      severity: outliers.length > rows / 4 ? "error" : "warning",
      message: `${outliers.length} of ${rows} rows disagree with the rest: ${listed.join(", ")}`,
      advice:
        "Look at the coupons and the log before leaving them out; a cause that is not found may return.",
      about: outliers.map((o) => `row ${o.row + 1}`),
    });
  }
  return findings;
}
