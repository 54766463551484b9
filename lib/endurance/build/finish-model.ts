import { requireCount, requireNumber } from "../../errors/index.js";
import { FINISH_BELIEFS, type FinishBeliefs, type FinishLaw, type FinishTrend } from "./finish-beliefs.js";
import { logStopsLikelihood, trendFactor } from "./finish-trend.js";
import { betaOnGrid, ChanceHistogram, gridChances } from "./logit-scale.js";

/**
 * A build in units of risk: 1 is as much as the build to come. Where the first attempts were smaller, they count less.
 */
export interface TriedBuild {
  /** Risk run before it ended or as far as it is. */
  readonly run: number;
  /** True where something ended it. */
  readonly lost: boolean;
  /** Incidents it went on after, of the causes that ended a build. Left out where nobody counted. */
  readonly stops?: number;
  /** Builds up to this one that began on changed equipment. Default 0. */
  readonly changes?: number;
}

/** The chance that a build is finished. */
export interface FinishChance {
  /** Averaged over all that the attempts leave open. */
  readonly predictive: number;
  /** The chance lies above this with 95 in 100, by what the attempts show. */
  readonly atLeast: number;
  readonly atMost: number;
  /** By which laws builds seem to be lost, and how the hazard moves over the attempts: likeliest first. */
  readonly laws: readonly FinishLaw[];
  readonly trends: readonly FinishTrend[];
}

/**
 * The chance that the next build is finished, or that a build under way is, from the attempts so far. Builds may be lost by
 * a hazard in the work (constant, wear, bad beginnings), by one that differs between good and bad builds, or in a share of
 * builds whatever their length; and the hazard may fall or grow from build to build. Each is weighed by how well it tells
 * where the attempts ended and how their stops thinned out, on the same belief of the chance to finish.
 *
 * @param attempts - in order, the one under way left out
 * @throws {BeadbenchError} `bad-argument` for a risk below 0, or an end before the beginning
 * @example finishChance([{ run: 1, lost: false }, { run: 0.5, lost: true }]).predictive // => 0.5
 */
export function finishChance(
  attempts: readonly TriedBuild[],
  {
    from = 0,
    to = 1,
    changes = 0,
    beliefs = FINISH_BELIEFS,
  }: {
    /** Risk this build has run already. Default 0, before it starts. */
    readonly from?: number;
    /** Risk at its end. Default 1. */
    readonly to?: number;
    /** Builds up to this one that began on changed equipment. Default 0. */
    readonly changes?: number;
    readonly beliefs?: FinishBeliefs;
  } = {},
): FinishChance {
  attempts.forEach(({ run, stops = 0 }, i) => {
    requireNumber(`risk run by attempt ${i + 1}`, run, { min: 0 });
    requireCount(`stops of attempt ${i + 1}`, stops, { min: 0 });
  });
  requireNumber("risk run by this build", from, { min: 0 });
  requireNumber("risk at its end", to, { min: from });
  const changed = attempts.some((attempt) => (attempt.changes ?? 0) !== changes);
  const trends = beliefs.trends[changed ? "changed" : "unchanged"];
  const cells = trends.flatMap((trend) => {
    const now = trendFactor(trend, attempts.length, changes);
    const hazards = attempts.map((attempt, i) => trendFactor(trend, i, attempt.changes ?? 0) / now);
    const log =
      Math.log(trend.weight) +
      logStopsLikelihood(
        attempts.flatMap(({ stops, run }, i) =>
          stops === undefined ? [] : [{ stops, run: run * hazards[i]! }],
        ),
      );
    return beliefs.laws.map((law) => ({
      law,
      trend,
      ...weighChances(law, { attempts, hazards, from, to, log: log + Math.log(law.weight) }),
    }));
  });
  let top = Number.NEGATIVE_INFINITY;
  for (const { logs } of cells) for (const log of logs) if (log > top) top = log;
  const belief = betaOnGrid(beliefs.chance);
  const [lower, upper] = beliefs.bounds.map((shapes) => ({
    belief: betaOnGrid(shapes),
    histogram: new ChanceHistogram(),
  })) as [Bound, Bound];
  const sums = cells.map(({ law, trend, logs, ahead }) => {
    let [weight, finished] = [0, 0];
    for (let i = 0; i < belief.length; i++) {
      const likelihood = Math.exp(logs[i]! - top);
      weight += belief[i]! * likelihood;
      finished += belief[i]! * likelihood * ahead[i]!;
      for (const bound of [lower, upper]) bound.histogram.add(ahead[i]!, bound.belief[i]! * likelihood);
    }
    return { law, trend, weight, finished };
  });
  const whole = sums.reduce((sum, { weight }) => sum + weight, 0);
  const predictive = sums.reduce((sum, { finished }) => sum + finished, 0) / whole;
  const shareOf = <T>(items: readonly T[], key: "law" | "trend") =>
    items.map((item) => ({
      ...item,
      weight: sums.reduce((sum, each) => sum + (each[key] === item ? each.weight : 0), 0) / whole,
    }));
  const likeliest = (a: { readonly weight: number }, b: { readonly weight: number }) => b.weight - a.weight;
  return {
    predictive,
    atLeast: Math.min(predictive, lower.histogram.quantile(0.05)),
    atMost: Math.max(predictive, upper.histogram.quantile(0.95)),
    laws: shareOf(beliefs.laws, "law").sort(likeliest),
    trends: shareOf(trends, "trend").sort(likeliest),
  };
}

interface Bound {
  readonly belief: Float64Array;
  readonly histogram: ChanceHistogram;
}

/** A loss at no run at all, or at the very end, would have no density where a hazard begins or fades to 0. */
const SMALLEST = 1e-3;

interface Weighing {
  readonly attempts: readonly TriedBuild[];
  /** Of the attempts, beside that of this build. */
  readonly hazards: readonly number[];
  readonly from: number;
  readonly to: number;
  /** Logarithm of the weight all this has before. */
  readonly log: number;
}

/**
 * For each chance of the grid how likely a law makes the attempts, and the chance that this build goes on from where it is
 * to its end. The chance stands for a build of risk 1 now.
 */
function weighChances(
  law: FinishLaw,
  { attempts, hazards, from, to, log }: Weighing,
): { readonly logs: Float64Array; readonly ahead: Float64Array } {
  const runs = attempts.map(({ run }) => progress(law, run));
  const [begun, end] = [progress(law, from), progress(law, to)];
  // Of the density at which an attempt was lost, what does not depend on the chance.
  const places = attempts.reduce(
    (sum, { run, lost }) => (lost ? sum + Math.log(progressRate(law, run)) : sum),
    log,
  );
  const logs = new Float64Array(gridChances.length).fill(places);
  const ahead = new Float64Array(gridChances.length);
  for (let j = 0; j < logs.length; j++) {
    const hazard = -Math.log(gridChances[j]!);
    const scale = law.uneven === 0 ? hazard : Math.expm1(law.uneven * hazard) / law.uneven;
    for (let i = 0; i < runs.length; i++) {
      const then = scale * hazards[i]!;
      logs[j]! += attempts[i]!.lost ? logLoss(law, then, runs[i]!) : logLeft(law, then, runs[i]!);
    }
    const gone = logLeft(law, scale, begun);
    logs[j]! += gone;
    ahead[j] = Math.exp(logLeft(law, scale, end) - gone);
  }
  return { logs, ahead };
}

const isShare = (kind: FinishLaw["kind"]): boolean => kind === "share" || kind === "early share";

/** How far a law is at a run: 0 at the beginning, 1 at 1. */
function progress({ kind, within }: FinishLaw, run: number): number {
  return kind === "early share" ? 1 - Math.max(0, 1 - run) ** within : run ** within;
}

/** Its derivative, kept off 0 and infinity at the ends. */
function progressRate({ kind, within }: FinishLaw, run: number): number {
  return within * Math.max(kind === "early share" ? 1 - run : run, SMALLEST) ** (within - 1);
}

/** Logarithm of the chance to get to a progress `run`; of a gamma factor of variance v, S = (1 + v H)^(-1/v). */
function logLeft({ kind, uneven }: FinishLaw, hazard: number, run: number): number {
  if (isShare(kind)) return run >= 1 ? -hazard : Math.log1p(Math.expm1(-hazard) * run);
  return uneven === 0 ? -hazard * run : -Math.log1p(uneven * hazard * run) / uneven;
}

/** Logarithm of the density of a loss at a progress `run`, without what only the place tells. */
function logLoss(law: FinishLaw, hazard: number, run: number): number {
  if (isShare(law.kind)) return Math.log(-Math.expm1(-hazard));
  return Math.log(hazard) + (1 + law.uneven) * logLeft(law, hazard, run);
}
