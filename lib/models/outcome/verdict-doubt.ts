import { stillDoubted } from "./record-doubt.js";
import type { SeenCoupon } from "./seen-coupon.js";

/** Coupons that the shares expected before any count for: of passing and of failing coupons with dimensions. */
const EXPECTED = { passed: { share: 0.8, counts: 5 }, failed: { share: 0.4, counts: 2.5 } } as const;
/** Dimensions make a verdict at most this many times less or more likely wrong. */
const BOUNDS = [0.05, 8] as const;

/** What a doubt about a verdict asks of a coupon. */
type Judged = Pick<SeenCoupon, "latents" | "passed" | "checkedAgain">;

/**
 * How many times likelier than usual the verdict of a check on a coupon is wrong. Where this log measures the coupons that
 * pass and leaves those that fail, a pass with dimensions stands firm and one without is odd; a look taken again settles
 * most of it.
 *
 * @param coupons - the study's own
 */
export function verdictDoubt(coupons: readonly Judged[], check: string): (coupon: Judged) => number {
  const judged = coupons.filter(({ passed }) => passed.has(check));
  const measures = judged.some(({ latents }) => latents.size > 0);
  const shareOf = (verdict: boolean, { share, counts }: (typeof EXPECTED)["passed" | "failed"]): number => {
    const own = judged.filter(({ passed }) => passed.get(check) === verdict);
    return (share * counts + own.filter(({ latents }) => latents.size > 0).length) / (counts + own.length);
  };
  const passed = shareOf(true, EXPECTED.passed);
  const failed = shareOf(false, EXPECTED.failed);
  return (coupon) => {
    const again = stillDoubted(coupon, check);
    if (!measures) return again;
    const [one, other] = coupon.latents.size > 0 ? [passed, failed] : [1 - passed, 1 - failed];
    const odds = coupon.passed.get(check) === true ? other / one : one / other;
    return again * Math.min(BOUNDS[1], Math.max(BOUNDS[0], odds));
  };
}
