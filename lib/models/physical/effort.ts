import type { DefinedStudy } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { physicalSettingOf, type Settings } from "../settings/index.js";

/** What one coupon takes at the rig; the minutes include its handling. {@link couponCost} says what it rests on. */
export interface CouponCost {
  /** Time at the rig, min. */
  readonly minutes: number;
  /** Shielding gas, L. */
  readonly gas: number;
  /** Wire, m. */
  readonly wire: number;
}

/** Bead of a coupon when rig.settings has no coupon_length, mm. Common practice: 80 to 150 mm. */
const COUPON_LENGTH = 120;
/** Time at the rig about the arc time when costs.minutesPerCoupon is not given, min. Common practice, no source. */
const HANDLING_MINUTES = 10;
/** Gas before and after the arc, min. Common practice: post-flow about 1 s per 10 A and a pre-flow. */
const EXTRA_GAS_MINUTES = 0.5;

/**
 * Estimated effort of one coupon of a study: time, gas and wire. What a study does not tell (travel speed, gas
 * flow, wire feed) counts as nothing.
 */
export function couponCost({ definition }: DefinedStudy): (settings: Settings) => CouponCost {
  const length = definition.rig?.settings.coupon_length;
  const beadLength = length === undefined ? COUPON_LENGTH : convert(length.value, length.unit, "mm");
  const stated = definition.costs?.minutesPerCoupon;
  return (settings) => {
    const setting = physicalSettingOf({ definition }, settings);
    const arcMinutes = setting.travel_speed === undefined ? 0 : beadLength / setting.travel_speed / 60;
    return {
      minutes: stated ?? HANDLING_MINUTES + arcMinutes,
      gas: (setting.gas_flow ?? 0) * (arcMinutes + EXTRA_GAS_MINUTES),
      wire: ((setting.wire_feed_speed ?? 0) * arcMinutes * 60) / 1000,
    };
  };
}
