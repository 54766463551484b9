import type { OutcomeModel, Settings } from "../models/index.js";
import { randomStream } from "../numeric/index.js";
import { type BestSearch, searchBest } from "./best-setting.js";
import { batchGain, expectedGain } from "./expected-gain.js";
import { candidatesOf, drawsOf } from "./propose.js";

/** What coupons are expected to add to the best known chance. */
export interface CouponGains {
  /** Of each coupon run alone, in the order given. */
  readonly alone: readonly number[];
  /** Of all of them together. */
  readonly together: number;
}

/**
 * Expected rise of the best known chance by coupons at given settings, as {@link proposeNext} tells it of its own: over
 * what the coupons may come out as, of the highest chance that is known afterwards. Gains do not add up: two coupons that
 * answer the same question gain little more than one.
 *
 * @param settings - by factor name, in the factors' units
 * @throws {BeadbenchError} `bad-argument` for a missing setting, `infeasible` when the study's limits leave no setting
 */
export function expectedGains(model: OutcomeModel, settings: readonly Settings[]): CouponGains {
  return gainsAfter(model, searchBest(model, model.seed), settings);
}

/** The same after a search for the best setting that was made already. */
export function gainsAfter(
  model: OutcomeModel,
  search: BestSearch,
  settings: readonly Settings[],
): CouponGains {
  const candidates = candidatesOf(search, "hit", 0);
  const asked = settings.map((setting) => ({ coordinates: search.chances.predictor.point(setting) }));
  const draws = drawsOf(model, search, [...candidates, ...asked]);
  const places = asked.map((_, i) => candidates.length + i);
  return {
    alone: places.map((place) => expectedGain(draws, place)),
    together: batchGain(draws, places, randomStream(model.seed).split(`gains/${model.coupons}`)),
  };
}
