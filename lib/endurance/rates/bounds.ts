import { requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { betaQuantile, chiSquareQuantile } from "../../numeric/index.js";

/** A share or a rate with bounds that hold whatever it truly is. */
export interface ExactBounds {
  readonly events: number;
  /** Trials, or how much was run, in the unit of the question. */
  readonly exposure: number;
  readonly estimate: number;
  /** Two-sided bounds; 0 where nothing happened. */
  readonly lower: number;
  readonly upper: number;
  /** One-sided upper bound at the same confidence: "at most ...". */
  readonly atMost: number;
  readonly confidence: number;
}

/**
 * Clopper-Pearson bounds of the share of trials in which something happened.
 *
 * @param events - 0 to trials
 * @param trials - at least 1
 * @param confidence - 0 to 1, exclusive. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for counts that cannot be
 * @source C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404
 * @example shareBounds(0, 60).atMost // => 0.048703
 */
export function shareBounds(events: number, trials: number, confidence = 0.95): ExactBounds {
  requireCount("trials", trials, { min: 1 });
  requireCount("events", events, { min: 0, max: trials });
  const tail = 1 - requireConfidence(confidence);
  const upperAt = (p: number): number =>
    events === trials ? 1 : betaQuantile(1 - p, events + 1, trials - events);
  return {
    events,
    exposure: trials,
    estimate: events / trials,
    lower: events === 0 ? 0 : betaQuantile(tail / 2, events, trials - events + 1),
    upper: upperAt(tail / 2),
    atMost: upperAt(tail),
    confidence,
  };
}

/**
 * Exact bounds of a constant rate of incidents: a Poisson count over an exposure (arc hours, metres of wire, layers).
 *
 * @param events - 0 or more
 * @param exposure - above 0, in any unit; the rate is per that unit
 * @param confidence - 0 to 1, exclusive. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for a negative or broken count, or an exposure that is not above 0
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1
 * @example rateBounds(3, 1).upper // => 8.76727
 */
export function rateBounds(events: number, exposure: number, confidence = 0.95): ExactBounds {
  requireCount("events", events, { min: 0 });
  requireNumber("exposure", exposure, { above: 0 });
  const tail = 1 - requireConfidence(confidence);
  const upperAt = (p: number): number => chiSquareQuantile(1 - p, 2 * events + 2) / 2 / exposure;
  return {
    events,
    exposure,
    estimate: events / exposure,
    lower: events === 0 ? 0 : chiSquareQuantile(tail / 2, 2 * events) / 2 / exposure,
    upper: upperAt(tail / 2),
    atMost: upperAt(tail),
    confidence,
  };
}

/**
 * Clean trials in a row that show, at a confidence, that something happens in at most a share of them.
 *
 *     n = ln(1 - confidence) / ln(1 - share), rounded up
 *
 * @param share - 0 to 1, exclusive
 * @throws {BeadbenchError} `bad-argument` for numbers outside 0 to 1
 * @example cleanTrialsToShow(5.2666e-4) // => 5687
 */
export function cleanTrialsToShow(share: number, confidence = 0.95): number {
  requireNumber("share", share, { above: 0, below: 1 });
  return Math.ceil(Math.log1p(-requireConfidence(confidence)) / Math.log1p(-share));
}

/** A confidence, checked. */
export function requireConfidence(confidence: number): number {
  requireThat(
    confidence > 0 && confidence < 1,
    `confidence must be above 0 and below 1, such as 0.95, got ${confidence}`,
  );
  return confidence;
}
