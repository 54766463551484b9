import { finishChance, type TriedBuild } from "../../../lib/endurance/index.js";
import { betaQuantile, mean, type RandomStream, randomStream } from "../../../lib/numeric/index.js";
import type { LossLaw } from "./finish-laws.js";

/** One claim about a build, and what is true of it. */
export interface Claim {
  readonly claimed: number;
  readonly atLeast: number;
  readonly atMost: number;
  /** Chance under the law; of a build under way 1 or 0, as it ends. */
  readonly true: number;
  readonly finished: boolean;
  /** What two simple rules say: (finished + 1/2) / (builds + 1), and one rate over all work so far. */
  readonly byShare: number;
  readonly byRate: number;
}

/** Builds 3 to 6 of a rig are forecast. */
const FIRST = 2;
const BUILDS = 6;

/**
 * Forecasts the third to sixth build of invented rigs of one law, each from the builds before it.
 *
 * @param ask.lost - share of these builds that is lost, on average over rigs; of one rig it lies around that
 * @param ask.claims - builds forecast
 * @param ask.from - share of the work that the builds forecast have done already; those lost before are left out. Default 0
 * @param ask.stops - stops per build that come as the hazard does; none are logged when left out
 */
export function claimsOf(
  law: LossLaw,
  ask: {
    readonly lost: number;
    readonly claims: number;
    readonly random: RandomStream;
    readonly from?: number;
    readonly stops?: number;
  },
): readonly Claim[] {
  const { lost, claims, random, from = 0, stops = 0 } = ask;
  const found: Claim[] = [];
  for (let number = 0; found.length < claims; number++) {
    const stream = random.split(String(number));
    const share = betaQuantile(stream.uniform(), 8 * lost, 8 * (1 - lost));
    const rate = stops * Math.exp(0.5 * stream.normal());
    const rig = law(stream.split("rig"), lossesFor(law, stream, Math.min(0.985, Math.max(0.015, share))));
    const tried: TriedBuild[] = [];
    for (let i = 0; i < BUILDS; i++) {
      const changes = rig.changes?.(i) ?? 0;
      const [chance, hazard, end] = [rig.chance(i), rig.hazard(i), rig.end(i)];
      const run = Math.min(1, end);
      const finished = end >= 1;
      if (i >= FIRST && end > from)
        found.push(claimOf(tried, { changes, from, finished, chance: from > 0 ? Number(finished) : chance }));
      tried.push({
        run,
        lost: end < 1,
        changes,
        ...(stops === 0 ? {} : { stops: poisson(stream, rate * hazard * run) }),
      });
      rig.after?.(end < 1);
    }
  }
  return found.slice(0, claims);
}

function claimOf(
  tried: readonly TriedBuild[],
  {
    changes,
    from,
    chance,
    finished,
  }: {
    readonly changes: number;
    readonly from: number;
    readonly chance: number;
    readonly finished: boolean;
  },
): Claim {
  const { predictive, atLeast, atMost } = finishChance(tried, { changes, from });
  const lost = tried.filter((build) => build.lost).length;
  return {
    claimed: predictive,
    atLeast,
    atMost,
    true: chance,
    finished,
    byShare: (tried.length - lost + 0.5) / (tried.length + 1),
    byRate: Math.exp(-lost / tried.reduce((sum, { run }) => sum + run, 0)),
  };
}

/** Losses for which a law loses this share of the builds forecast, nothing being mended on the way. */
function lossesFor(law: LossLaw, stream: RandomStream, share: number): number {
  let [low, high] = [-6, 4];
  for (let halving = 0; halving < 18; halving++) {
    const middle = (low + high) / 2;
    const rig = law(stream.split("rig"), Math.exp(middle));
    const lost = mean(Array.from({ length: BUILDS - FIRST }, (_, i) => 1 - rig.chance(FIRST + i)));
    if (lost > share) high = middle;
    else low = middle;
  }
  return Math.exp((low + high) / 2);
}

function poisson(stream: RandomStream, expected: number): number {
  let count = -1;
  for (let sum = 0; sum < expected || count < 0; count++) sum -= Math.log(1 - stream.uniform());
  return count;
}

/** Claims of one law at one share lost, on average. */
export interface Calibration {
  readonly claimed: number;
  readonly true: number;
  /** Claimed less true. */
  readonly off: number;
  /** Mean squared distance of the claim from what happened (Brier), of the two rules, and of the law itself. */
  readonly score: number;
  readonly byShare: number;
  readonly byRate: number;
  readonly byLaw: number;
  /** Share of claims whose true chance lies above the lower, and below the upper bound. */
  readonly aboveLower: number;
  readonly belowUpper: number;
}

export function calibrationOf(claims: readonly Claim[]): Calibration {
  const of = (value: (claim: Claim) => number): number => mean(claims.map(value));
  const brier = (value: (claim: Claim) => number): number =>
    of((claim) => (value(claim) - (claim.finished ? 1 : 0)) ** 2);
  const [claimed, truth] = [of((claim) => claim.claimed), of((claim) => claim.true)];
  return {
    claimed,
    true: truth,
    off: claimed - truth,
    score: brier((claim) => claim.claimed),
    byShare: brier((claim) => claim.byShare),
    byRate: brier((claim) => claim.byRate),
    byLaw: brier((claim) => claim.true),
    aboveLower: of((claim) => (claim.atLeast <= claim.true ? 1 : 0)),
    belowUpper: of((claim) => (claim.atMost >= claim.true ? 1 : 0)),
  };
}

/** The claims of a law, from a seed. */
export const seeded = (
  name: string,
  law: LossLaw,
  ask: {
    readonly lost: number;
    readonly claims: number;
    readonly seed: number;
    readonly from?: number;
    readonly stops?: number;
  },
): readonly Claim[] =>
  claimsOf(law, { ...ask, random: randomStream(ask.seed).split(name).split(String(ask.lost)) });
