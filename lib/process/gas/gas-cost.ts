import { requireNumber } from "../../errors/index.js";

/** Gas of one coupon. */
export interface CouponGas {
  /** L through the cup. */
  readonly cup: number;
  /** L of the purge that falls to this coupon. */
  readonly purge: number;
  /** L in all. */
  readonly total: number;
  /** In the currency of the price. */
  readonly cost: number;
}

/**
 * Gas and its cost for one coupon, the purge shared among those done per closing of the enclosure.
 *
 * @param coupon.purge - L per closing
 * @param coupon.couponsPerClosing - how many share it
 * @param coupon.flow - L/min through the cup
 * @param coupon.arcTime - s
 * @param coupon.idleTime - s of pre-flow, post-flow and waiting with the gas on
 * @param price - per m3
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example couponGas({ purge: 1529.46, couponsPerClosing: 1, flow: 10, arcTime: 300, idleTime: 240 }, 9).cost // => 14.5751
 */
export function couponGas(
  coupon: {
    readonly purge: number;
    readonly couponsPerClosing: number;
    readonly flow: number;
    readonly arcTime: number;
    readonly idleTime: number;
  },
  price: number,
): CouponGas {
  requireNumber("purge", coupon.purge, { min: 0, unit: "L" });
  requireNumber("coupons per closing", coupon.couponsPerClosing, { min: 1 });
  requireNumber("gas flow", coupon.flow, { min: 0, unit: "L/min" });
  requireNumber("arc time", coupon.arcTime, { min: 0, unit: "s" });
  requireNumber("idle time", coupon.idleTime, { min: 0, unit: "s" });
  requireNumber("gas price", price, { min: 0 });
  const cup = (coupon.flow * (coupon.arcTime + coupon.idleTime)) / 60;
  const purge = coupon.purge / coupon.couponsPerClosing;
  return { cup, purge, total: cup + purge, cost: ((cup + purge) / 1000) * price };
}
