import { ownValue } from "../../errors/index.js";
import { physicalSettingOfCoupon } from "../../models/settings/index.js";
import type { Coupon, DefinedStudy, Quantity } from "../../study/index.js";
import { convert, sameDimension } from "../../units/index.js";
import type { Running } from "./running.js";

/**
 * What running one coupon took: a start, a layer, and as much arc time, wire and gas as its record tells. The arc time
 * is a logged `arc_time`, or `bead_length` over the travel speed; wire and gas follow from the feed and the flow. Columns
 * `starts` and `layers` of coupons with more of them count as logged.
 */
export function couponRunning({ definition }: DefinedStudy, coupon: Coupon): Running {
  const told = (name: string, unit: string): number | undefined => {
    const quantity: Quantity | undefined =
      ownValue(coupon.context, name) ?? ownValue(definition.rig?.settings, name);
    if (quantity === undefined || !sameDimension(quantity.unit, unit)) return undefined;
    return convert(quantity.value, quantity.unit, unit);
  };
  const setting = physicalSettingOfCoupon({ definition }, coupon);
  const length = told("bead_length", "mm");
  const seconds =
    told("arc_time", "s") ??
    (length !== undefined && setting.travel_speed !== undefined && setting.travel_speed > 0
      ? length / setting.travel_speed
      : undefined);
  const { wire_feed_speed: feed, gas_flow: flow } = setting;
  return {
    starts: told("starts", "1") ?? 1,
    layers: told("layers", "1") ?? 1,
    ...(seconds === undefined
      ? {}
      : {
          arc_time: seconds / 3600,
          ...(feed === undefined ? {} : { wire: (feed * seconds) / 1000 }),
          ...(flow === undefined ? {} : { gas: (flow * seconds) / 60 }),
        }),
  };
}
