import type { Coupon } from "./coupon.js";

/** Units of the context quantities: for each name the unit in which it was first logged. */
export function contextUnits(coupons: readonly Coupon[]): ReadonlyMap<string, string> {
  const units = new Map<string, string>();
  for (const { context } of coupons) {
    for (const [name, { unit }] of Object.entries(context)) if (!units.has(name)) units.set(name, unit);
  }
  return units;
}
