import { requireNumber, requireThat } from "../../errors/index.js";
import { findRoot, normalQuantile, scaleUntil } from "../../numeric/index.js";
import { requireConfidence } from "../rates/index.js";

/** One run of the arc, from a start to the event, or to where nothing had happened yet. */
export interface ArcRun {
  /** Above 0, in any unit. */
  readonly time: number;
  /** False where the run ended well. */
  readonly failed: boolean;
}

/** Share of runs that last beyond a time. */
export interface SurvivalStep {
  readonly time: number;
  readonly atRisk: number;
  readonly failed: number;
  readonly share: number;
  readonly lower: number;
  readonly upper: number;
}

/**
 * Kaplan-Meier estimate of the share of arc runs that last beyond a time, with bounds on the scale of ln(-ln).
 *
 * @param confidence - of each bound. Default 0.95
 * @returns a step per time at which a run failed
 * @throws {BeadbenchError} `bad-argument` for no runs, or a time that is not above 0
 * @source E. L. Kaplan, P. Meier, J. Am. Stat. Assoc. 53 (1958) 457; variance of M. Greenwood (1926)
 */
export function arcSurvival(runs: readonly ArcRun[], confidence = 0.95): readonly SurvivalStep[] {
  requireRuns(runs);
  const z = normalQuantile(0.5 + requireConfidence(confidence) / 2);
  const times = [...new Set(runs.filter(({ failed }) => failed).map(({ time }) => time))].sort(
    (a, b) => a - b,
  );
  let share = 1;
  let variance = 0;
  return times.map((time) => {
    const atRisk = runs.filter((run) => run.time >= time).length;
    const failed = runs.filter((run) => run.failed && run.time === time).length;
    share *= 1 - failed / atRisk;
    variance += failed / (atRisk * (atRisk - failed));
    const wide = share === 0 ? 0 : (z * Math.sqrt(variance)) / Math.abs(Math.log(share));
    return {
      time,
      atRisk,
      failed,
      share,
      lower: share === 0 ? 0 : share ** Math.exp(wide),
      upper: share === 0 ? 0 : share ** Math.exp(-wide),
    };
  });
}

/** A Weibull law of the time an arc runs before the event: share left exp(-(t/scale)^shape). */
export interface WeibullFit {
  /** Below 1: early failures, bad starts; above 1: wear. */
  readonly shape: number;
  readonly scale: number;
  readonly failures: number;
  readonly logLikelihood: number;
  /** Twice the log likelihood gained over a constant rate (shape 1). */
  readonly gainOverConstant: number;
}

/**
 * Fits a Weibull law to arc runs, those that ended well counted as still running.
 *
 * @throws {BeadbenchError} `bad-argument` for fewer than two failures at different times
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.2 (maximum likelihood, censored)
 */
export function fitWeibull(runs: readonly ArcRun[]): WeibullFit {
  requireRuns(runs);
  const failed = runs.filter((run) => run.failed).map(({ time }) => time);
  requireThat(
    new Set(failed).size >= 2,
    `a law of the running time needs failures at two times or more, got ${failed.length}: give the rate and its bounds instead`,
  );
  const longest = Math.max(...runs.map(({ time }) => time));
  const meanLog = failed.reduce((sum, t) => sum + Math.log(t / longest), 0) / failed.length;
  const moments = (shape: number): readonly [number, number] => {
    let [weights, logs] = [0, 0];
    for (const { time } of runs) {
      const weight = (time / longest) ** shape;
      weights += weight;
      logs += weight * Math.log(time / longest);
    }
    return [weights, logs / weights];
  };
  const score = (shape: number): number => 1 / shape + meanLog - moments(shape)[1];
  const lower = scaleUntil({ what: "shape", x: 1, factor: 0.5, holds: (x) => score(x) > 0 });
  const upper = scaleUntil({ what: "shape", x: 1, factor: 2, holds: (x) => score(x) < 0 });
  const shape = findRoot({ f: score, lower, upper }).x;
  const likelihood = (k: number): { readonly scale: number; readonly value: number } => {
    const scale = longest * (moments(k)[0] / failed.length) ** (1 / k);
    const value = failed.reduce(
      (sum, t) => sum + Math.log(k / scale) + (k - 1) * Math.log(t / scale),
      -failed.length,
    );
    return { scale, value };
  };
  const best = likelihood(shape);
  return {
    shape,
    scale: best.scale,
    failures: failed.length,
    logLikelihood: best.value,
    gainOverConstant: Math.max(0, 2 * (best.value - likelihood(1).value)),
  };
}

function requireRuns(runs: readonly ArcRun[]): void {
  requireThat(runs.length > 0, "survival needs at least one run");
  runs.forEach(({ time }, i) => {
    requireNumber(`time of run ${i + 1}`, time, { above: 0 });
  });
}
