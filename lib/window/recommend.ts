import type { Finding } from "../errors/index.js";
import { fromLinkScale, type OutcomeModel } from "../models/index.js";
import type { SettingWithUnit } from "./best-setting.js";
import { makeChance } from "./chance.js";
import type { Conformance } from "./conformance.js";
import { findWindow, type ProcessWindow, type WindowOptions, type WindowRange } from "./process-window.js";

/** What a measured response will be at the preset. */
export interface PredictedResponse {
  readonly response: string;
  readonly unit: string;
  readonly median: number;
  /** 95 % of single coupons on days to come, doubt about the model included. */
  readonly lower: number;
  readonly upper: number;
  /** Chance of being within specification. */
  readonly chance: number;
}

/** A recommended setting and what to expect of it. Plain data. */
export interface Recommendation {
  readonly settings: readonly SettingWithUnit[];
  readonly predicted: readonly PredictedResponse[];
  readonly conformance: Conformance;
  readonly ranges: readonly WindowRange[];
  /** Chance kept inside the ranges: asked for, and found. */
  readonly level: number;
  readonly reached: number;
  /** Coupons the recommendation rests on. */
  readonly coupons: number;
  readonly seed: number;
  readonly findings: readonly Finding[];
}

/** 97.5 % point of the standard normal distribution. */
const Z95 = 1.959963984540054;

/**
 * Recommends the setting of highest chance, on the rig's steps and inside the study's limits, with predicted
 * responses and the ranges within which it holds. The chance is averaged over what the coupons leave open,
 * so a setting nobody is sure of is not recommended on a lucky coupon.
 *
 * @throws {BeadbenchError} `infeasible` when the study's limits leave no setting
 */
export function recommendPreset(model: OutcomeModel, options: WindowOptions = {}): Recommendation {
  return recommendationFrom(model, findWindow(model, { ...options, mapSize: 2 }));
}

/** The recommendation that a window already found holds; spares the search of {@link recommendPreset}. */
export function recommendationFrom(model: OutcomeModel, window: ProcessWindow): Recommendation {
  const { settings, conformance } = window.best;
  const chances = makeChance(model);
  const { mean, covariance } = chances.parts(
    chances.predictor.point(Object.fromEntries(settings.map(({ factor, value }) => [factor, value]))),
  );
  const predicted = model.latent.links.map((link, r): PredictedResponse => {
    const sd = Math.sqrt(covariance[r * mean.length + r]!);
    const value = (z: number): number => fromLinkScale(link, mean[r]! + z * sd);
    const unit = model.definition.responses.find(({ name }) => name === link.response)!.unit;
    return {
      response: link.response,
      unit,
      median: value(0),
      lower: value(-Z95),
      upper: value(Z95),
      chance: conformance.perResponse[link.response]!,
    };
  });
  return {
    settings,
    predicted,
    conformance,
    ranges: window.ranges,
    level: window.level,
    reached: window.reached,
    coupons: model.coupons,
    seed: window.seed,
    findings: window.findings,
  };
}
