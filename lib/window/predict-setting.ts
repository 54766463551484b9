import { fromLinkScale, type OutcomeModel, type Settings } from "../models/index.js";
import { type ChanceFunction, makeChance } from "./chance.js";

/** What a measured response of the next coupon at some settings will be. */
export interface ForeseenResponse {
  readonly response: string;
  readonly unit: string;
  readonly median: number;
  /** 95 % of single coupons on days to come, doubt about the model included. */
  readonly lower: number;
  readonly upper: number;
}

/** What is foreseen of one coupon. */
export interface ForeseenCoupon {
  readonly responses: readonly ForeseenResponse[];
  /** Chance that each check is passed. */
  readonly checks: Readonly<Record<string, number>>;
}

/** 97.5 % point of the standard normal distribution. */
const Z95 = 1.959963984540054;

/**
 * What a model foresees of single coupons at some settings: every measured response with the range that holds 95 % of them,
 * and the chance of every check.
 *
 * @param settings - one set per coupon, by factor name, in the factors' units
 * @throws {BeadbenchError} `bad-argument` for a missing setting
 */
export function foreseeCoupons(
  model: OutcomeModel,
  settings: readonly Settings[],
): readonly ForeseenCoupon[] {
  const chances = makeChance(model);
  return settings.map((setting) => foreseeWith(model, chances, setting));
}

/** {@link foreseeCoupons} for one coupon, with the chances of the model made ready before. */
export function foreseeWith(
  model: OutcomeModel,
  chances: ChanceFunction,
  settings: Settings,
): ForeseenCoupon {
  const { mean, covariance, checks } = chances.parts(chances.predictor.point(settings));
  const responses = model.latent.links.map((link, r): ForeseenResponse => {
    const sd = Math.sqrt(covariance[r * mean.length + r]!);
    const value = (z: number): number => fromLinkScale(link, mean[r]! + z * sd);
    const unit = model.definition.responses.find(({ name }) => name === link.response)!.unit;
    return { response: link.response, unit, median: value(0), lower: value(-Z95), upper: value(Z95) };
  });
  return {
    responses,
    checks: Object.fromEntries(model.checks.map(({ name }, c) => [name, checks[c]!])),
  };
}
