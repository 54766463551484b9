import { requireNumber } from "../../errors/index.js";
import { chiSquareQuantile, logGamma } from "../../numeric/index.js";

/**
 * A build in units of risk: 1 is as much as the build to come. Where the first attempts were smaller, they count less.
 */
export interface TriedBuild {
  /** Risk run before it ended or as far as it is. */
  readonly run: number;
  /** True where something ended it. */
  readonly lost: boolean;
}

/** The chance that a build is finished. */
export interface FinishChance {
  /** Averaged over all that the attempts leave open. */
  readonly predictive: number;
  /** The chance lies above this with 95 in 100, by what the attempts show. */
  readonly atLeast: number;
  readonly atMost: number;
  /** How the hazard seems to change within a build and over the attempts, and how much that is believed. */
  readonly courses: readonly HazardCourse[];
}

/** One way the hazard may go. */
export interface HazardCourse {
  /** Hazard grows as run^(within - 1): 1 is constant, above 1 wear, below 1 bad beginnings. */
  readonly within: number;
  /** Hazard falls as attempt^-over. */
  readonly over: number;
  readonly weight: number;
}

/** Beliefs before the first attempt: what the averaging begins with. No source: judged on simulated rigs. */
export interface FinishBeliefs {
  /** Gamma shape and rate of the expected losses per build. */
  readonly events: number;
  readonly builds: number;
  readonly within: readonly (readonly [number, number])[];
  readonly over: readonly (readonly [number, number])[];
}

export const FINISH_BELIEFS: FinishBeliefs = {
  events: 1,
  builds: 0.5,
  within: [
    [0.7, 0.2],
    [1, 0.4],
    [1.6, 0.25],
    [3, 0.15],
  ],
  over: [
    [0, 0.65],
    [0.5, 0.25],
    [1, 0.1],
  ],
};

const STRATA = 400;

/**
 * The chance that the next build is finished, or that a build under way is, from the attempts so far. The hazard may be
 * constant, wear or bad beginnings, steady or falling from attempt to attempt: each is weighed by how well it tells where
 * the attempts ended, and its rate is averaged over a gamma posterior.
 *
 * @param attempts - in order, the one under way left out
 * @throws {BeadbenchError} `bad-argument` for a risk below 0, or an end before the beginning
 */
export function finishChance(
  attempts: readonly TriedBuild[],
  {
    from = 0,
    to = 1,
    beliefs = FINISH_BELIEFS,
  }: {
    /** Risk this build has run already. Default 0, before it starts. */
    readonly from?: number;
    /** Risk at its end. Default 1. */
    readonly to?: number;
    readonly beliefs?: FinishBeliefs;
  } = {},
): FinishChance {
  attempts.forEach(({ run }, i) => {
    requireNumber(`risk run by attempt ${i + 1}`, run, { min: 0 });
  });
  requireNumber("risk run by this build", from, { min: 0 });
  requireNumber("risk at its end", to, { min: from });
  const lost = attempts.filter((attempt) => attempt.lost).length;
  const shape = beliefs.events + lost;
  const cells = beliefs.within.flatMap(([within, first]) =>
    beliefs.over.map(([over, second]) => {
      const scale = (i: number): number => (i + 1) ** -over;
      const seen =
        beliefs.builds +
        attempts.reduce((sum, { run }, i) => sum + scale(i) * run ** within, 0) +
        scale(attempts.length) * from ** within;
      const density = attempts.reduce(
        (sum, attempt, i) =>
          attempt.lost
            ? sum + Math.log(within * scale(i)) + (within - 1) * Math.log(Math.max(attempt.run, SMALLEST))
            : sum,
        0,
      );
      const log =
        Math.log(first * second) +
        density +
        beliefs.events * Math.log(beliefs.builds) -
        shape * Math.log(seen) +
        logGamma(shape);
      return { within, over, log, seen, ahead: scale(attempts.length) * (to ** within - from ** within) };
    }),
  );
  const top = Math.max(...cells.map(({ log }) => log));
  const whole = cells.reduce((sum, { log }) => sum + Math.exp(log - top), 0);
  const weighed = cells.map((cell) => ({ ...cell, weight: Math.exp(cell.log - top) / whole }));
  const bounds = chanceBounds(weighed, shape);
  return {
    predictive: Math.min(
      1,
      weighed.reduce((sum, { weight, seen, ahead }) => sum + weight * (seen / (seen + ahead)) ** shape, 0),
    ),
    ...bounds,
    courses: weighed
      .map(({ within, over, weight }) => ({ within, over, weight }))
      .sort((a, b) => b.weight - a.weight),
  };
}

/** A loss at no run at all would have no density where the hazard begins at 0. */
const SMALLEST = 1e-3;

/** Bounds of the chance with 95 in 100 each, over all courses and the gamma posterior of each. */
function chanceBounds(
  cells: readonly { readonly weight: number; readonly seen: number; readonly ahead: number }[],
  shape: number,
): { readonly atLeast: number; readonly atMost: number } {
  const rates = Array.from(
    { length: STRATA },
    (_, i) => chiSquareQuantile((i + 0.5) / STRATA, 2 * shape) / 2,
  );
  const chances = cells
    .flatMap(({ weight, seen, ahead }) =>
      rates.map((rate) => ({ chance: Math.exp((-rate / seen) * ahead), weight })),
    )
    .sort((a, b) => a.chance - b.chance);
  const at = (share: number): number => {
    let sum = 0;
    return chances.find(({ weight }) => {
      sum += weight / STRATA;
      return sum >= share;
    })!.chance;
  };
  return { atLeast: at(0.05), atMost: at(0.95) };
}
