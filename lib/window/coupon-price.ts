import {
  couponCost,
  type OutcomeModel,
  physicalSettingOf,
  rigPhysics,
  type Settings,
} from "../models/index.js";
import { wireArea } from "../process/index.js";

/**
 * Price of one coupon by the study's costs, in its currency: material, time at the rig, gas and wire.
 *
 * @returns undefined when the study states no costs
 */
export function couponPrice(model: OutcomeModel): ((settings: Settings) => number) | undefined {
  const { costs } = model.definition;
  if (costs === undefined) return undefined;
  const effort = couponCost(model.definition);
  const density = rigPhysics(model.definition).wireDensity.value;
  return (settings) => {
    const { minutes, gas, wire } = effort(settings);
    const diameter = physicalSettingOf(model.definition, settings).wire_diameter;
    // mm2 of section is cm3 per metre.
    const kilograms = diameter === undefined ? 0 : (wireArea(diameter) * wire * density) / 1000;
    return (
      (costs.materialPerCoupon ?? 0) +
      ((costs.labourPerHour ?? 0) * minutes) / 60 +
      ((costs.gasPerM3 ?? 0) * gas) / 1000 +
      (costs.wirePerKg ?? 0) * kilograms
    );
  };
}
