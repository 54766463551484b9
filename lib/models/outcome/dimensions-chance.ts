import type { StudyData } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import { couponOutcomes } from "./coupon-outcomes.js";
import type { OutcomeModel } from "./outcome-model.js";
import { makePredictor } from "./predictor.js";

/** Failed coupons that are taken to have given no dimensions before any failed: what stubs or balls cannot be measured. */
const BLANK_BEFORE = 2;

/**
 * Share of the coupons failing a check that could be measured all the same, (m + 0) / (n + 2): a bead with pores has its
 * width, one that never formed has none.
 */
export function measuredThough(data: StudyData): number {
  const failed = couponOutcomes(data).coupons.filter(({ passed }) => [...passed.values()].includes(false));
  return failed.filter(({ measured }) => measured.size > 0).length / (failed.length + BLANK_BEFORE);
}

/**
 * Chance that a coupon gives dimensions, under each posterior draw: that it passes all checks, or fails and can be measured
 * all the same. Before any coupon it follows from the physics alone. Made for the `survival` of `planCoupons` and
 * `evaluatePlan`. It misleads where the study has no check: then every coupon is taken to survive.
 *
 * @param coupons - the study's, to learn how often failed ones were measured
 * @returns a function of settings; its answer has one chance per draw
 * @throws {BeadbenchError} `bad-argument` from the function for a missing setting
 */
export function dimensionsChance(
  model: OutcomeModel,
  coupons: StudyData["coupons"],
): (settings: Settings) => Float64Array {
  const predictor = makePredictor(model);
  const spared = measuredThough({ definition: model.definition, coupons });
  return (settings) => {
    const here = predictor.at(predictor.point(settings));
    return Float64Array.from({ length: predictor.draws }, (_, m) => {
      const passes = model.checks.reduce((product, _check, c) => product * here.drawPass(c, m), 1);
      return passes + (1 - passes) * spared;
    });
  };
}
