import { couponCost, type OutcomeModel, type Settings } from "../models/index.js";
import { couponPrice } from "./coupon-price.js";

/** What one coupon takes; what a study does not tell counts as nothing. */
export interface CouponExpense {
  /** Time at the rig, min. */
  readonly minutes: number;
  /** Shielding gas, L. */
  readonly gas: number;
  /** Wire, m. */
  readonly wire: number;
  /** Money in the study's currency; absent where the study states no costs. */
  readonly money?: number;
}

/** Most of each that coupons may take together. */
export type Budget = Partial<CouponExpense>;

/** What a coupon of a study takes, by its settings. */
export function couponExpense({
  definition,
}: Pick<OutcomeModel, "definition">): (settings: Settings) => CouponExpense {
  const effort = couponCost({ definition });
  const price = couponPrice({ definition });
  return (settings) => ({
    ...effort(settings),
    ...(price === undefined ? {} : { money: price(settings) }),
  });
}

/** What a budget is stated in. */
export const expenseKinds = ["money", "minutes", "gas", "wire"] as const;

/**
 * How many of the first of some coupons a budget pays for: the first that it does not pay ends them.
 *
 * @param expenses - of the coupons, in the order wanted
 */
export function paidFor(budget: Budget, expenses: readonly CouponExpense[]): number {
  const spent = { money: 0, minutes: 0, gas: 0, wire: 0 };
  for (const [i, expense] of expenses.entries()) {
    for (const kind of expenseKinds) {
      spent[kind] += expense[kind] ?? 0;
      // A thousandth of a millionth is rounding.
      if (spent[kind] > (budget[kind] ?? Number.POSITIVE_INFINITY) * (1 + 1e-9)) return i;
    }
  }
  return expenses.length;
}
