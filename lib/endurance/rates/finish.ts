import { requireCount, requireNumber } from "../../errors/index.js";
import { logGamma } from "../../numeric/index.js";
import { rateBounds, shareBounds } from "./bounds.js";

/** The chance that nothing happens in what lies ahead: predicted, and at least. */
export interface CleanChance {
  /** Averaged over what the record leaves open about the rate: the honest single number. */
  readonly predictive: number;
  /** With the rate at its one-sided upper bound: so that "0 failures so far" misleads nobody. */
  readonly atLeast: number;
  readonly confidence: number;
}

/** What a rate is believed to be before any record: as if `events` had been seen in `exposure`. */
export interface RatePrior {
  readonly events: number;
  readonly exposure: number;
}

/** Half an event in no exposure at all: Jeffreys' prior of a Poisson rate. */
export const JEFFREYS_RATE: RatePrior = { events: 0.5, exposure: 0 };

/**
 * Chance that the next trials all go well, from trials so far: the beta-binomial prediction under a Beta(a, b) prior.
 *
 *     B(a + x, b + n - x + N) / B(a + x, b + n - x)
 *
 * @param record.events - trials that went wrong
 * @param record.trials - trials so far; 0 is allowed, and the prior then speaks alone
 * @param record.ahead - trials to come
 * @param prior - Beta shapes. Default Jeffreys (1/2, 1/2)
 * @throws {BeadbenchError} `bad-argument` for counts that cannot be
 * @example cleanTrials({ events: 0, trials: 60, ahead: 60 }).predictive // => 0.70784
 */
export function cleanTrials(
  record: { readonly events: number; readonly trials: number; readonly ahead: number },
  {
    prior = [0.5, 0.5],
    confidence = 0.95,
  }: { readonly prior?: readonly [number, number]; readonly confidence?: number } = {},
): CleanChance {
  const { events, trials, ahead } = record;
  requireCount("trials ahead", ahead, { min: 0 });
  requireCount("trials", trials, { min: 0 });
  requireCount("events", events, { min: 0, max: trials });
  requireNumber("prior shape a", prior[0], { above: 0 });
  requireNumber("prior shape b", prior[1], { above: 0 });
  const a = prior[0] + events;
  const b = prior[1] + trials - events;
  const worst = trials === 0 ? 1 : shareBounds(events, trials, confidence).atMost;
  return {
    predictive: Math.exp(logGamma(b + ahead) - logGamma(b) + logGamma(a + b) - logGamma(a + b + ahead)),
    atLeast: ahead === 0 ? 1 : (1 - worst) ** ahead,
    confidence,
  };
}

/**
 * Chance that nothing happens in an exposure to come, from a Poisson count so far: the gamma-Poisson prediction.
 *
 *     ((b + T) / (b + T + S))^(a + r)
 *
 * @param record.events - r
 * @param record.exposure - T, 0 or more
 * @param record.ahead - S, in the unit of the exposure
 * @param prior - default {@link JEFFREYS_RATE}
 * @throws {BeadbenchError} `bad-argument` for a negative count or exposure
 * @example cleanExposure({ events: 0, exposure: 60, ahead: 60 }).atLeast // => 0.05
 */
export function cleanExposure(
  record: { readonly events: number; readonly exposure: number; readonly ahead: number },
  {
    prior = JEFFREYS_RATE,
    confidence = 0.95,
  }: { readonly prior?: RatePrior; readonly confidence?: number } = {},
): CleanChance {
  const { events, exposure, ahead } = record;
  requireCount("events", events, { min: 0 });
  requireNumber("exposure", exposure, { min: 0 });
  requireNumber("exposure ahead", ahead, { min: 0 });
  const run = prior.exposure + exposure;
  if (ahead === 0) return { predictive: 1, atLeast: 1, confidence };
  return {
    predictive: (run / (run + ahead)) ** (prior.events + events),
    atLeast: exposure === 0 ? 0 : Math.exp(-rateBounds(events, exposure, confidence).atMost * ahead),
    confidence,
  };
}
