import type { LatentPosterior } from "./latent-fit.js";
import type { LatentPrior } from "./latent-prior.js";

/**
 * Share of the doubt about the size of block shifts that all hidden quantities have in common: a shop whose days differ in
 * width differs in height too. Common practice, no source.
 */
const COMMON = 0.8;

/** Least variance, in scores, of a size told by few draws of it. */
const BEST_KNOWN = 0.05;

/**
 * Priors of the hidden quantities, the size of each one's block shifts as the coupons' other quantities let it be
 * expected: sizes are log-normal, with most of their doubt in common.
 */
export function shareBlocks(
  priors: readonly LatentPrior[],
  posteriors: readonly LatentPosterior[],
): readonly LatentPrior[] {
  // What the coupons say of each quantity's size beyond its prior, as a reading with a variance.
  const readings = posteriors.map(({ blockScore: { mean, variance } }) => {
    const known = Math.max(variance, BEST_KNOWN);
    const precision = 1 / known - 1;
    return precision < 1e-3 ? undefined : { value: mean / known / precision, variance: 1 / precision };
  });
  return priors.map((prior, l) => {
    let precision = 1;
    let moment = 0;
    readings.forEach((reading, k) => {
      if (k === l || reading === undefined) return;
      const weight = 1 / (1 - COMMON + reading.variance);
      precision += COMMON * weight;
      moment += Math.sqrt(COMMON) * weight * reading.value;
    });
    const { median, logSd } = prior.block;
    const mean = (Math.sqrt(COMMON) * moment) / precision;
    const variance = COMMON / precision + 1 - COMMON;
    return {
      ...prior,
      block: { median: median * Math.exp(logSd * mean), logSd: logSd * Math.sqrt(variance) },
    };
  });
}
