import { type BeadbenchError, refusalOf } from "../../errors/index.js";
import { isBoundedSetting, requireSetting } from "../../process/handbook/index.js";
import type { Coupon, DefinedStudy } from "../../study/index.js";
import { physicalSettingOfCoupon } from "./study-setting.js";

/** The sentence in which the physics refuses a coupon's settings, if it does. */
export function absurdity({ definition }: DefinedStudy, coupon: Coupon): string | undefined {
  return refusalOfCoupon({ definition }, coupon)?.message;
}

/** The error by which the physics refuses a coupon's settings, if it does; `details.setting` names the first. */
export function refusalOfCoupon({ definition }: DefinedStudy, coupon: Coupon): BeadbenchError | undefined {
  const s = physicalSettingOfCoupon({ definition }, coupon);
  return refusalOf(() => {
    for (const name of Object.keys(s) as (keyof typeof s)[]) {
      const value = s[name];
      if (value !== undefined && isBoundedSetting(name)) requireSetting(name, value);
    }
  });
}
