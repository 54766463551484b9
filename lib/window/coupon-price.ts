import { couponCost, physicalSettingOf, rigPhysics, type Settings } from "../models/index.js";
import { wireArea } from "../process/index.js";
import type { DefinedStudy, StudyDefinition } from "../study/index.js";

/** What something takes; what cannot be told is absent. */
export interface Expense {
  /** Time at the rig, min. */
  readonly minutes?: number;
  /** Wire, g. */
  readonly wire?: number;
  /** Shielding gas, L. */
  readonly gas?: number;
}

/**
 * Wire, gas and labour priced by a study's costs, in its currency.
 *
 * @returns undefined when none of what is known has a price
 */
export function priceOf({ costs }: StudyDefinition, { minutes, wire, gas }: Expense): number | undefined {
  const priced = [
    [costs?.wirePerKg, wire, 1000],
    [costs?.gasPerM3, gas, 1000],
    [costs?.labourPerHour, minutes, 60],
  ] as const;
  return priced.reduce<number | undefined>(
    (sum, [price, amount, unit]) =>
      price === undefined || amount === undefined ? sum : (sum ?? 0) + (price * amount) / unit,
    undefined,
  );
}

/**
 * Price of one coupon by the study's costs, in its currency: material, time at the rig, gas and wire.
 *
 * @returns undefined when the study states no costs
 */
export function couponPrice({ definition }: DefinedStudy): ((settings: Settings) => number) | undefined {
  const { costs } = definition;
  if (costs === undefined) return undefined;
  const effort = couponCost({ definition });
  const density = rigPhysics({ definition }).wireDensity.value;
  return (settings) => {
    const { minutes, gas, wire: metres } = effort(settings);
    const diameter = physicalSettingOf({ definition }, settings).wire_diameter;
    // mm2 of section is cm3 per metre.
    const wire = diameter === undefined ? 0 : wireArea(diameter) * metres * density;
    return (costs.materialPerCoupon ?? 0) + (priceOf(definition, { minutes, gas, wire }) ?? 0);
  };
}
