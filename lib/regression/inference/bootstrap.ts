import { type Finding, requireCount, requireNumber, requireThat } from "../../errors/index.js";
import {
  mean,
  normalCdf,
  normalQuantile,
  quantile,
  type RandomStream,
  randomStream,
  standardDeviation,
  tQuantile,
} from "../../numeric/index.js";
import type { ConvergedFit, Interval, Model } from "../common/index.js";
import { parameterSlopes } from "../common/index.js";
import { makeRefitter } from "./refit.js";

/**
 * What is resampled: `residual` (errors of one spread), `case` (whole rows, when x was as random as y), `wild`
 * (residuals keep their row and get a random sign, when the spread differs from row to row).
 */
export type BootstrapKind = "residual" | "case" | "wild";

/** A quantity computed from the parameters. */
export interface Derived {
  readonly name: string;
  value(theta: readonly number[]): number;
}

export interface BootstrapOptions {
  readonly kind: BootstrapKind;
  readonly seed: number;
  /** Default 2000. */
  readonly resamples?: number;
  /** Default 0.95. */
  readonly level?: number;
  /** Quantities to give intervals for. Default: the parameters. */
  readonly of?: readonly Derived[];
}

export interface BootstrapResult {
  readonly kind: BootstrapKind;
  readonly seed: number;
  /** Refits that succeeded. */
  readonly resamples: number;
  readonly failed: number;
  /** Bias-corrected and accelerated, with t in place of normal quantiles. */
  readonly intervals: readonly Interval[];
  readonly standardErrors: readonly number[];
  /** One row per successful refit, one value per quantity. */
  readonly replicates: readonly (readonly number[])[];
  readonly findings: readonly Finding[];
}

/** Returns a function that draws one resample and fits it. */
function resampler({
  fit,
  model,
  kind,
  random,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly kind: BootstrapKind;
  readonly random: RandomStream;
}): () => readonly number[] | undefined {
  const { fitted, residuals, leverage, observations } = fit;
  const { refit, reweigh } = makeRefitter(fit, model);
  const n = fitted.length;
  const weights = observations.weights ?? new Array<number>(n).fill(1);
  const work = new Float64Array(n);
  if (kind === "case") {
    return () => {
      work.fill(0);
      for (let k = 0; k < n; k++) {
        const i = random.integer(0, n - 1);
        work[i] = work[i]! + weights[i]!;
      }
      return reweigh(work);
    };
  }
  if (kind === "wild") {
    const jackknifed = residuals.map((r, i) => r / Math.max(1e-6, 1 - leverage[i]!));
    return () => {
      for (let i = 0; i < n; i++) work[i] = fitted[i]! + (random.uniform() < 0.5 ? -1 : 1) * jackknifed[i]!;
      return refit(work);
    };
  }
  const standard = residuals.map(
    (r, i) => (r * Math.sqrt(weights[i]!)) / Math.sqrt(Math.max(1e-12, 1 - leverage[i]!)),
  );
  const centre = mean(standard);
  return () => {
    for (let i = 0; i < n; i++) {
      work[i] = fitted[i]! + (standard[random.integer(0, n - 1)]! - centre) / Math.sqrt(weights[i]!);
    }
    return refit(work);
  };
}

/** Parameters with row i left out, to first order: theta - C J_i r_i / (1 - h_i). */
function jackknife(fit: ConvergedFit, model: Model): number[][] {
  const slopes = parameterSlopes(model, fit.estimates, fit.observations.x);
  const variance = fit.residualSd ** 2;
  return fit.residuals.map((r, i) => {
    const weight = fit.observations.weights?.[i] ?? 1;
    const pull = (weight * r) / (Math.max(1e-12, 1 - fit.leverage[i]!) * variance);
    return fit.estimates.map(
      (value, j) => value - pull * fit.covariance[j]!.reduce((sum, c, k) => sum + c * slopes[i]![k]!, 0),
    );
  });
}

/** Skewness of the jackknife values over 6 (Efron 1987). */
function acceleration(values: readonly number[]): number {
  const centre = mean(values);
  let second = 0;
  let third = 0;
  for (const value of values) {
    second += (centre - value) ** 2;
    third += (centre - value) ** 3;
  }
  return second === 0 ? 0 : third / (6 * second ** 1.5);
}

function bcaInterval({
  name,
  estimate,
  replicates,
  accelerated,
  level,
  quantileOf,
}: {
  readonly name: string;
  readonly estimate: number;
  readonly replicates: readonly number[];
  readonly accelerated: number;
  readonly level: number;
  readonly quantileOf: (p: number) => number;
}): Interval {
  const count = replicates.length;
  let below = 0;
  for (const value of replicates) below += value < estimate ? 1 : value === estimate ? 0.5 : 0;
  const bias = normalQuantile(Math.min(1 - 0.5 / count, Math.max(0.5 / count, below / count)));
  const end = (p: number): number => {
    const z = bias + quantileOf(p);
    return quantile(replicates, normalCdf(bias + z / (1 - accelerated * z)));
  };
  return { name, estimate, lower: end((1 - level) / 2), upper: end((1 + level) / 2), level };
}

/**
 * Bootstrap intervals: refits to resampled data, seeded.
 *
 * So that small data sets are not promised too much, residuals are divided by sqrt(1 - leverage) (wild: 1 - leverage)
 * before they are drawn, the quantiles use t instead of the normal, for cases times sqrt(n / df) (Hesterberg 2015). The
 * acceleration comes from the first-order jackknife. Below some 10 residual degrees of freedom prefer profile intervals.
 *
 * @throws {BeadbenchError} `bad-argument` for a count or level outside its bounds, or when more than half of the refits fail
 * @source Efron and Tibshirani, An Introduction to the Bootstrap (1993), chapters 9 and 14; Davison and Hinkley
 * (1997) section 6.2; T. Hesterberg, The American Statistician 69 (2015) 371-386
 * @example bootstrap(fitLinear({ x: [0, 1, 2, 3, 4, 5].map((x) => [1, x]), y: [0, 1.1, 2, 2.9, 4.2, 5] }, { names: ["a", "b"] }), linearModel(["a", "b"]), { kind: "residual", seed: 1, resamples: 200 }).intervals.length // => 2
 */
export function bootstrap(fit: ConvergedFit, model: Model, options: BootstrapOptions): BootstrapResult {
  const { kind, seed } = options;
  const level = requireNumber("bootstrap: level", options.level ?? 0.95, { above: 0, below: 1 });
  const wanted = requireCount("bootstrap: resamples", options.resamples ?? 2000, { min: 50 });
  const quantities =
    options.of ?? fit.parameters.map((name, j) => ({ name, value: (theta: readonly number[]) => theta[j]! }));
  const draw = resampler({ fit, model, kind, random: randomStream(seed) });
  const replicates: number[][] = [];
  let failed = 0;
  for (let k = 0; k < wanted; k++) {
    const theta = draw();
    const values = theta === undefined ? [Number.NaN] : quantities.map(({ value }) => value(theta));
    if (values.every(Number.isFinite)) replicates.push(values);
    else failed++;
  }
  requireThat(
    replicates.length >= wanted / 2,
    `bootstrap: ${failed} of ${wanted} refits failed; the model is too frail for these data`,
  );
  const left = jackknife(fit, model);
  const widening = kind === "case" ? Math.sqrt(fit.residuals.length / fit.df) : 1;
  const widened = (p: number): number => widening * tQuantile(p, fit.df);
  const columns = quantities.map((_, j) => replicates.map((row) => row[j]!));
  return {
    kind,
    seed,
    resamples: replicates.length,
    failed,
    intervals: quantities.map(({ name, value }, j) =>
      bcaInterval({
        name,
        estimate: value(fit.estimates),
        replicates: columns[j]!,
        accelerated: acceleration(left.map(value)),
        level,
        quantileOf: widened,
      }),
    ),
    standardErrors: columns.map(standardDeviation),
    replicates,
    findings:
      failed === 0
        ? []
        : [
            {
              code: "failed-refits",
              severity: failed > 0.05 * wanted ? "warning" : "info",
              message: `${failed} of ${wanted} refits failed and were left out`,
              advice: "prefer profile intervals, or a model with fewer parameters",
            },
          ],
  };
}
