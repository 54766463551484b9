import { chiSquareQuantile, findRoot, minimiseScalar } from "../../numeric/index.js";
import type { Interval } from "../common/index.js";
import { atRatio, type BlockSums, type RatioState } from "./reml-likelihood.js";

/** Intervals reach at most this factor from the estimate either way. */
const furthest = 1e12;
/** Stretch of ln s^2 searched about the error variance that a ratio of its own would give. */
const reach = 12;

/** Restricted log-likelihood where ratio and error variance are both given. */
function atVariances(sums: BlockSums, lambda: number, errorVariance: number): number {
  const best = atRatio(sums, lambda);
  const share = best.errorVariance / errorVariance;
  return best.logLikelihood - 0.5 * (sums.rows - sums.rank) * (share - 1 - Math.log(share));
}

/** Highest value over [low, high] of a function of one top there, both ends looked at too. */
function highest(f: (x: number) => number, low: number, high: number): number {
  const inside = -minimiseScalar({ f: (x) => -f(x), lower: low, upper: high, tolerance: 1e-6 }).value;
  return Math.max(inside, f(low), f(high));
}

/** Restricted log-likelihood with the block variance held, at the best error variance. */
function profileBlock(sums: BlockSums, blockVariance: number, best: RatioState): number {
  if (blockVariance === 0) return atRatio(sums, 0).logLikelihood;
  const centre = Math.log(best.errorVariance);
  const at = (log: number): number => atVariances(sums, blockVariance / Math.exp(log), Math.exp(log));
  return highest(at, centre - reach, centre + reach);
}

/** The same with the error variance held, at the best block variance. */
function profileError(sums: BlockSums, errorVariance: number): number {
  const at = (log: number): number => atVariances(sums, Math.exp(log), errorVariance);
  return Math.max(atVariances(sums, 0, errorVariance), highest(at, Math.log(1e-8), Math.log(1e12)));
}

/**
 * Where a profile falls to the level on one side, in factors of two from `from`; undefined where it does not.
 *
 * @param factor - 2 to look upwards, 1/2 to look downwards
 */
function crossing(above: (value: number) => number, from: number, factor: number): number | undefined {
  let inner = from;
  for (let outer = from * factor; outer < from * furthest && outer > from / furthest; outer *= factor) {
    if (above(outer) < 0) {
      const [low, high] = [Math.log(inner), Math.log(outer)].sort((a, b) => a - b) as [number, number];
      return Math.exp(
        findRoot({ f: (log) => above(Math.exp(log)), lower: low, upper: high, tolerance: 1e-10 }).x,
      );
    }
    inner = outer;
  }
  return undefined;
}

/**
 * Intervals for the error and the block variance by the profile of the restricted likelihood: every value whose best
 * log-likelihood lies no more than half the chi-square quantile (1 degree of freedom) below the top. The block variance's
 * begins at 0 where the data allow blocks that do not differ; there the interval is somewhat wide, because a variance
 * cannot be negative. With few blocks its upper end is far off, and that is what the data say.
 *
 * @param best - of sums that hold some difference between blocks
 * @source D. A. Harville, J. Am. Stat. Assoc. 72 (1977) 320-338, for the likelihood; J. C. Pinheiro and D. M. Bates,
 *   Mixed-Effects Models in S and S-PLUS (2000), section 2.4, for profiles of it
 */
export function varianceIntervals(sums: BlockSums, best: RatioState, level: number): readonly Interval[] {
  const floor = best.logLikelihood - 0.5 * chiSquareQuantile(level, 1);
  const { errorVariance } = best;
  const blockVariance = best.lambda * errorVariance;
  const error = (value: number): number => profileError(sums, value) - floor;
  const block = (value: number): number => profileBlock(sums, value, best) - floor;
  const from = blockVariance === 0 ? 1e-6 * errorVariance : blockVariance;
  return [
    {
      name: "error variance",
      estimate: errorVariance,
      lower: crossing(error, errorVariance, 1 / 2) ?? 0,
      upper: crossing(error, errorVariance, 2) ?? Number.MAX_VALUE,
      level,
    },
    {
      name: "block variance",
      estimate: blockVariance,
      lower: blockVariance === 0 || block(0) >= 0 ? 0 : (crossing(block, from, 1 / 2) ?? 0),
      upper: crossing(block, from, 2) ?? Number.MAX_VALUE,
      level,
    },
  ];
}
