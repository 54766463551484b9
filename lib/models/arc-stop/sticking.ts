import { type Finding, onlyDefined, requireNumber, requireThat } from "../../errors/index.js";
import { findRoot, median, significant } from "../../numeric/index.js";
import { requireSetting } from "../../process/index.js";
import {
  type ChanceEstimate,
  fitLogistic,
  type LogisticFit,
  predictLogistic,
} from "../../regression/index.js";

/** How one stop of a cold wire ended. */
export interface WireStop {
  /** s from arc-off (or the start of the slope) to retract. */
  readonly delay: number;
  /** mm the tip stood above the pool floor, or was pulled clear; leave out when not logged. */
  readonly clearance?: number;
  readonly stuck: boolean;
}

/** Chance of sticking over delay and clearance. */
export interface StickingFit {
  readonly logistic: LogisticFit;
  readonly withClearance: boolean;
  /** Median of the clearances logged, mm; absent where the stops have none. */
  readonly usualClearance?: number;
  /** Range of delays tried, s. */
  readonly delays: readonly [shortest: number, longest: number];
  readonly stuck: number;
  readonly stops: number;
  readonly findings: readonly Finding[];
}

/**
 * Logistic fit of sticking on delay and clearance; estimates stay finite when no stop or every late stop stuck.
 *
 * @throws {BeadbenchError} `bad-argument` when some stops have a clearance and others not
 * @source Firth, Biometrika 80 (1993) 27; Puhr and others, Statistics in Medicine 36 (2017) 2302
 */
export function fitSticking(stops: readonly WireStop[]): StickingFit {
  const withClearance = stops.some(({ clearance }) => clearance !== undefined);
  requireThat(
    !withClearance || stops.every(({ clearance }) => clearance !== undefined),
    "some stops have a clearance and others not: log it for all, or leave it out",
  );
  for (const { delay } of stops) requireSetting("retract_delay", delay);
  const logistic = fitLogistic(
    {
      x: stops.map(({ delay, clearance }) => [1, delay, ...(withClearance ? [clearance!] : [])]),
      passes: stops.map(({ stuck }) => (stuck ? 1 : 0)),
    },
    { names: ["intercept", "delay", ...(withClearance ? ["clearance"] : [])], flic: true },
  );
  const delays = stops.map(({ delay }) => delay);
  const stuck = stops.filter((stop) => stop.stuck).length;
  const findings: Finding[] = [...logistic.findings];
  if (stuck === 0 || stuck === stops.length) {
    findings.push({
      code: "sticking-one-sided",
      severity: "warning",
      message: `${stuck} of ${stops.length} stops stuck: the delay at which sticking begins is not shown`,
      advice: "try delays on scrap until some stops stick and some do not",
    });
  }
  return {
    logistic,
    withClearance,
    ...(withClearance ? { usualClearance: median(stops.map(({ clearance }) => clearance!)) } : {}),
    delays: [Math.min(...delays), Math.max(...delays)],
    stuck,
    stops: stops.length,
    findings,
  };
}

/**
 * Chance that a stop sticks, with its interval.
 *
 * @param stop - delay in s, and clearance in mm where the fit has it
 * @param level - coverage of the interval
 * @throws {BeadbenchError} `bad-argument` for a delay no rig runs, or without the clearance that the fit needs
 */
export function stickingChance(
  fit: StickingFit,
  stop: { readonly delay: number; readonly clearance?: number },
  level = 0.95,
): ChanceEstimate {
  return predictLogistic(fit.logistic, [rowOf(fit, stop)], { level })[0]!;
}

function rowOf(fit: StickingFit, stop: { readonly delay: number; readonly clearance?: number }): number[] {
  requireSetting("retract_delay", stop.delay);
  if (!fit.withClearance) {
    requireThat(
      stop.clearance === undefined,
      "the stops were logged without a clearance, so the chance cannot be told at one: leave it out, or log it with every stop",
    );
    return [1, stop.delay];
  }
  requireThat(
    stop.clearance !== undefined,
    `the stops were logged with their clearance: say at which, such as ${significant(fit.usualClearance ?? 0)} mm, their median`,
  );
  return [1, stop.delay, requireNumber("clearance", stop.clearance, { unit: "mm" })];
}

/** Delays that keep sticking under a chance. */
export interface SafeDelay {
  /** `at most`: sticking grows with the delay; `at least`: it falls. */
  readonly bound: "at most" | "at least";
  /** Delay at which the estimated chance meets the wanted one, s; null outside the delays tried. */
  readonly estimated: number | null;
  /** Delay at which the upper limit of the chance meets it: the one to set, s; null when no tried delay is shown good enough. */
  readonly assured: number | null;
}

/**
 * Delay that keeps the chance of sticking under a stated one, within the delays tried.
 *
 * @param chance - such as 0.05
 * @param options.clearance - mm, when the fit has it
 * @param options.level - of the upper limit, one-sided. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function delayForSticking(
  fit: StickingFit,
  chance: number,
  options: { readonly clearance?: number; readonly level?: number } = {},
): SafeDelay {
  requireNumber("chance of sticking", chance, { above: 0, below: 1 });
  const level = requireNumber("level", options.level ?? 0.95, { above: 0.5, below: 1 });
  const { clearance } = options;
  const stop = (delay: number) => ({ delay, ...onlyDefined({ clearance }) });
  const estimated = (delay: number): number =>
    predictLogistic(fit.logistic, [rowOf(fit, stop(delay))], { intervals: "wald" })[0]!.chance;
  const upper = (delay: number): number => stickingChance(fit, stop(delay), 2 * level - 1).upper;
  const grows = fit.logistic.estimates[1]! >= 0;
  const [shortest, longest] = fit.delays;
  const [good, bad] = grows ? [shortest, longest] : [longest, shortest];
  const meet = (risk: (delay: number) => number): number | null => {
    const excess = (delay: number): number => risk(delay) - chance;
    if (excess(good) > 0) return null;
    if (excess(bad) <= 0) return bad;
    return findRoot({ f: excess, lower: Math.min(good, bad), upper: Math.max(good, bad), tolerance: 1e-5 }).x;
  };
  return { bound: grows ? "at most" : "at least", estimated: meet(estimated), assured: meet(upper) };
}
