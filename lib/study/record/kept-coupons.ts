import type { Coupon } from "./coupon.js";

/** A study as it is without some of its coupons, which none who draws or counts it sees. */
export function keptOf<T extends { readonly coupons: readonly Coupon[] }>(
  study: T,
  without: readonly string[] = [],
): T {
  return without.length === 0
    ? study
    : { ...study, coupons: study.coupons.filter(({ id }) => !without.includes(id)) };
}
