import { BeadbenchError } from "../errors/index.js";
import type { Study } from "../study/index.js";

/**
 * Coupons planned and not yet logged, in run order.
 *
 * @throws {BeadbenchError} `bad-argument` where there is none, naming the commands that plan some
 */
export function plannedCoupons({ coupons }: Study): Study["coupons"] {
  const planned = coupons.filter(({ state }) => state === "planned");
  if (planned.length > 0) return planned;
  throw new BeadbenchError(
    "bad-argument",
    "no coupon is planned: `beadbench next <study>` proposes some, `beadbench plan <study>` plans a design",
  );
}
