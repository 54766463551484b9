import type { OutcomeModel, Settings } from "../models/index.js";
import { randomStream } from "../numeric/index.js";
import { type BestSearch, searchBest } from "./best-setting.js";
import { batchGain, expectedGain } from "./expected-gain.js";
import type { CandidateChances } from "./foreseen.js";
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
function gainsAfter(model: OutcomeModel, search: BestSearch, settings: readonly Settings[]): CouponGains {
  const { draws, places } = asked(model, search, settings);
  return {
    alone: places.map((place) => expectedGain(draws, place)),
    together: together(model, draws, places),
  };
}

/** Coupons that stand for a batch of more. */
const MOST = 100;

/** Expected rise by all of them together, after such a search; of more than 100 coupons 100 spread among them are taken. */
export function gainTogether(model: OutcomeModel, search: BestSearch, settings: readonly Settings[]): number {
  const { draws, places } = asked(model, search, evenly(settings));
  return together(model, draws, places);
}

const evenly = <T>(all: readonly T[]): readonly T[] =>
  all.length <= MOST
    ? all
    : Array.from({ length: MOST }, (_, i) => all[Math.floor(((i + 0.5) * all.length) / MOST)]!);

function asked(model: OutcomeModel, search: BestSearch, settings: readonly Settings[]) {
  const candidates = candidatesOf(search, "hit", 0);
  const coupons = settings.map((setting) => ({ coordinates: search.chances.predictor.point(setting) }));
  return {
    draws: drawsOf(model, search, [...candidates, ...coupons]),
    places: coupons.map((_, i) => candidates.length + i),
  };
}

const together = (model: OutcomeModel, draws: CandidateChances, places: readonly number[]): number =>
  batchGain(draws, places, randomStream(model.seed).split(`gains/${model.coupons}`));
