import type { Finding } from "../errors/index.js";
import type { OutcomeModel } from "../models/index.js";
import type { SettingWithUnit } from "./best-setting.js";
import type { Conformance } from "./conformance.js";
import { makeExplorer, type PredictedResponse } from "./explorer.js";
import { findWindow, type ProcessWindow, type WindowOptions, type WindowRange } from "./process-window.js";

/** A recommended setting and what to expect of it. Plain data. */
export interface Recommendation {
  readonly settings: readonly SettingWithUnit[];
  readonly predicted: readonly PredictedResponse[];
  readonly conformance: Conformance;
  readonly ranges: readonly WindowRange[];
  /** Chance to be kept inside the ranges as it was asked for, the one they were grown at (lower where no setting reaches the first), and found. */
  readonly asked: number;
  readonly level: number;
  readonly reached: number;
  /** Coupons the recommendation rests on. */
  readonly coupons: number;
  readonly seed: number;
  readonly findings: readonly Finding[];
}

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
  const at = Object.fromEntries(settings.map(({ factor, value }) => [factor, value]));
  return {
    settings,
    predicted: makeExplorer(model).at(at).responses,
    conformance,
    ranges: window.ranges,
    asked: window.asked,
    level: window.level,
    reached: window.reached,
    coupons: model.coupons,
    seed: window.seed,
    findings: window.findings,
  };
}
