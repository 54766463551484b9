import { logGamma } from "../../numeric/index.js";
import type { FinishTrend } from "./finish-beliefs.js";

/** Hazard of a build beside that of the first: the one after `before` builds, `changes` of them begun on changed equipment. */
export function trendFactor({ by, fall }: FinishTrend, before: number, changes: number): number {
  return (1 + (by === "builds" ? before : changes)) ** -fall;
}

/** Variance of the factor by which the stops of one build differ from what its running asks, and how much it is believed. */
const unevenStops = [
  [0.05, 0.4],
  [0.3, 0.4],
  [1.2, 0.2],
] as const;

/** The mean rate is averaged over on both sides of the one seen, on a logarithmic scale. */
const rates = Array.from({ length: 13 }, (_, i) => Math.exp(0.35 * (i - 6)));

/**
 * How likely the stops of the builds are if they come as a hazard does: negative binomial counts, averaged over their
 * mean rate and unevenness. Only comparisons between trends mean anything.
 *
 * @param builds - stops, and running times hazard
 * @returns logarithm of the likelihood; 0 where there is nothing to compare
 */
export function logStopsLikelihood(
  builds: readonly { readonly stops: number; readonly run: number }[],
): number {
  const told = builds.filter(({ run }) => run > 0);
  const all = told.reduce((sum, { stops }) => sum + stops, 0);
  if (all === 0 || told.length < 2) return 0;
  const mean = all / told.reduce((sum, { run }) => sum + run, 0);
  let sum = 0;
  for (const [uneven, weight] of unevenStops)
    for (const factor of rates) {
      const shape = 1 / uneven;
      const log = told.reduce((total, { stops, run }) => {
        const expected = mean * factor * run * uneven;
        return (
          total +
          logGamma(shape + stops) -
          logGamma(shape) -
          logGamma(stops + 1) +
          stops * Math.log(expected) -
          (shape + stops) * Math.log1p(expected)
        );
      }, 0);
      sum += weight * Math.exp(log);
    }
  return Math.log(sum);
}
