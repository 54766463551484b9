import { findRoot, minimiseScalar } from "../../numeric/index.js";
import { atRatio, type BlockSums, type RatioState } from "./reml-likelihood.js";

/** Trial ratios, 0 first, evenly spaced in the logarithm: the likelihood may have two tops. */
const TRIALS = [0, ...Array.from({ length: 65 }, (_, k) => 10 ** (-6 + k / 4))];

/** Whether blocks hold repeats, and differences that the terms do not explain by themselves. */
export function seesBlocks(sums: BlockSums): boolean {
  if (sums.counts.every((count) => count === 1)) return false;
  return atRatio(sums, 0).trace > 1e-9 * sums.rows;
}

/** The best ratio: the best trial, then the root of the slope between its neighbours. */
export function climbRatio(sums: BlockSums): RatioState {
  if (!seesBlocks(sums)) return atRatio(sums, 0);
  const states = TRIALS.map((lambda) => atRatio(sums, lambda));
  let best = 0;
  states.forEach((state, k) => {
    if (state.logLikelihood > states[best]!.logLikelihood) best = k;
  });
  const low = states[Math.max(0, best - 1)]!;
  const high = states[Math.min(states.length - 1, best + 1)]!;
  if (!(low.slope > 0 && high.slope < 0)) return states[best]!;
  if (low.lambda === 0) {
    const root = findRoot({ f: (lambda) => atRatio(sums, lambda).slope, lower: 0, upper: high.lambda });
    return atRatio(sums, root.x);
  }
  const slope = (log: number): number => {
    const lambda = Math.exp(log);
    return lambda * atRatio(sums, lambda).slope;
  };
  return atRatio(
    sums,
    Math.exp(
      findRoot({ f: slope, lower: Math.log(low.lambda), upper: Math.log(high.lambda), tolerance: 1e-14 }).x,
    ),
  );
}

/** Shares of the way from 0 to the ratio at which the largest block's mean would not scatter at all, -1/n. */
const BELOW = Array.from({ length: 40 }, (_, k) => 1 - 10 ** (-(k + 1) / 8));

/**
 * The best ratio where blocks may also differ less than their rows' scatter makes them, which a ratio below 0 says. Held
 * at 0 instead, what is said of terms between few blocks forgets that their scatter was low by luck.
 */
export function freeRatio(sums: BlockSums, bounded: RatioState): RatioState {
  if (bounded.lambda > 0 || !(bounded.slope < 0)) return bounded;
  const least = -1 / Math.max(...sums.counts);
  const states = [bounded, ...BELOW.map((share) => atRatio(sums, share * least))];
  let best = 0;
  states.forEach((state, k) => {
    if (state.logLikelihood > states[best]!.logLikelihood) best = k;
  });
  const [high, low] = [states[Math.max(0, best - 1)]!, states[Math.min(states.length - 1, best + 1)]!];
  if (!(low.slope > 0 && high.slope < 0)) return states[best]!;
  return atRatio(
    sums,
    findRoot({ f: (lambda) => atRatio(sums, lambda).slope, lower: low.lambda, upper: high.lambda }).x,
  );
}

/** The likelihood without restriction, at the ratio best for it. */
export function largestLikelihood(sums: BlockSums): number {
  const at = (lambda: number): number => atRatio(sums, lambda).fullLogLikelihood;
  if (!seesBlocks(sums)) return at(0);
  const values = TRIALS.map(at);
  const best = values.indexOf(Math.max(...values));
  const [low, high] = [TRIALS[Math.max(0, best - 1)]!, TRIALS[Math.min(TRIALS.length - 1, best + 1)]!];
  return Math.max(
    values[best]!,
    -minimiseScalar({ f: (lambda) => -at(lambda), lower: low, upper: high }).value,
  );
}
