import { requireCount, requireNumber } from "../../errors/index.js";
import { betaQuantile, fCdf, fQuantile, logGamma } from "../../numeric/index.js";
import { requireConfidence } from "./bounds.js";

/** How often something happened in how much running. */
export interface EventRecord {
  readonly events: number;
  /** Above 0. */
  readonly exposure: number;
}

/** The rate after a change over the rate before it. */
export interface RateComparison {
  /** Rate after over rate before; Infinity where nothing had happened before, NaN where nothing happened at all. */
  readonly ratio: number;
  /** Exact two-sided bounds of the ratio; 0 and Infinity where the record sets none. */
  readonly lower: number;
  readonly upper: number;
  /** Two-sided exact conditional test that the rate is the same. */
  readonly p: number;
  /** Chance that the rate is lower after the change, under Jeffreys' prior for both. */
  readonly chanceLower: number;
  /** Median and equal-tailed bounds of the posterior of the ratio. */
  readonly posterior: { readonly median: number; readonly lower: number; readonly upper: number };
  readonly confidence: number;
}

/**
 * Compares two Poisson rates, as before and after a change. Given the sum of events, those after the change are
 * binomial with p = theta T2 / (T1 + theta T2): the test and the bounds of the ratio theta are exact.
 *
 * @param confidence - of the bounds. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for broken counts or an exposure that is not above 0
 * @source J. Przyborowski, H. Wilenski, Biometrika 31 (1940) 313; the figures of R's poisson.test
 * @example compareRates({ events: 11, exposure: 800 }, { events: 23, exposure: 3011 }).p // => 0.136634
 */
export function compareRates(before: EventRecord, after: EventRecord, confidence = 0.95): RateComparison {
  for (const [name, { events, exposure }] of [
    ["before", before],
    ["after", after],
  ] as const) {
    requireCount(`events ${name}`, events, { min: 0 });
    requireNumber(`exposure ${name}`, exposure, { above: 0 });
  }
  const tail = (1 - requireConfidence(confidence)) / 2;
  const [x, n] = [after.events, before.events + after.events];
  const scale = before.exposure / after.exposure;
  const ratioOf = (share: number): number => (scale * share) / (1 - share);
  const share = after.exposure / (before.exposure + after.exposure);
  const spread = ((x + 0.5) / (before.events + 0.5)) * scale;
  const df = [2 * x + 1, 2 * before.events + 1] as const;
  return {
    ratio: ratioOf(n === 0 ? Number.NaN : x / n),
    lower: x === 0 ? 0 : ratioOf(betaQuantile(tail, x, n - x + 1)),
    upper: x === n ? Number.POSITIVE_INFINITY : ratioOf(betaQuantile(1 - tail, x + 1, n - x)),
    p: binomialTest(x, n, share),
    chanceLower: fCdf(1 / spread, ...df),
    posterior: {
      median: spread * fQuantile(0.5, ...df),
      lower: spread * fQuantile(tail, ...df),
      upper: spread * fQuantile(1 - tail, ...df),
    },
    confidence,
  };
}

/** Two-sided exact binomial test: the chance of all outcomes no likelier than the one seen. */
function binomialTest(x: number, n: number, share: number): number {
  const logDensity = (k: number): number =>
    logGamma(n + 1) -
    logGamma(k + 1) -
    logGamma(n - k + 1) +
    k * Math.log(share) +
    (n - k) * Math.log1p(-share);
  // Outcomes as likely as the one seen may differ by rounding.
  const seen = logDensity(x) + 1e-7;
  let sum = 0;
  for (let k = 0; k <= n; k++) {
    const density = logDensity(k);
    if (density <= seen) sum += Math.exp(density);
  }
  return Math.min(1, sum);
}
