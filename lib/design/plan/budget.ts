import { BeadbenchError, requireThat } from "../../errors/index.js";
import type { Effort, Plan } from "../runs/index.js";
import type { PlanOptions } from "./plan-options.js";

/** Random starts while the number of coupons is still being found. */
const DRAFT_STARTS = 5;

/**
 * The largest plan a budget pays for. The count is scaled by what the last plan cost, then moved until the plan itself,
 * with its control coupons and changes of hard factors, just stays within the budget.
 *
 * @param planCount - plans a given number of coupons
 * @throws {BeadbenchError} `bad-argument` without `couponEffort`; `infeasible` when the budget pays for
 *   fewer coupons than the design or model takes
 */
export function affordablePlan(
  options: PlanOptions,
  budget: Partial<Effort>,
  planCount: (options: PlanOptions, coupons: number) => Plan,
): Plan {
  requireThat(
    options.couponEffort !== undefined && Object.keys(budget).length > 0,
    "a budget needs couponEffort and at least one of minutes, gas, wire",
  );
  const most = options.coupons ?? 1000;
  const use = (plan: Plan): number =>
    Math.max(
      ...(["minutes", "gas", "wire"] as const).map((what) => {
        const bound = budget[what];
        return bound === undefined ? 0 : plan.effort!.total[what] / bound;
      }),
    );
  const draft = { ...options, starts: Math.min(DRAFT_STARTS, options.starts ?? DRAFT_STARTS) };
  const attempt = (wanted: PlanOptions, coupons: number): Plan => {
    try {
      return planCount(wanted, coupons);
    } catch (error) {
      if (error instanceof BeadbenchError && error.code === "bad-argument") {
        throw new BeadbenchError(
          "infeasible",
          `the budget pays for about ${coupons} coupons: ${error.message}`,
        );
      }
      throw error;
    }
  };
  let count = Math.min(most, Math.max(2 * (options.factors.length + 1) ** 2, 2 ** options.factors.length));
  // A count that is too few for the design counts as one that fits: what the budget pays for, if anything, is larger.
  const tryOut = (wanted: PlanOptions, coupons: number): Plan | "too-few" => {
    try {
      return attempt(wanted, coupons);
    } catch (error) {
      if (error instanceof BeadbenchError && error.code === "infeasible") return "too-few";
      throw error;
    }
  };
  let paid: number | undefined;
  for (let round = 0; round < 4; round++) {
    const plan = tryOut(draft, count);
    if (plan === "too-few") break;
    const next = Math.max(1, Math.min(most, Math.floor(plan.runs.length / use(plan))));
    paid = next;
    if (next === count) break;
    count = next;
  }
  let last: Plan | "too-few" = "too-few";
  const fitsAs = (wanted: PlanOptions) => (coupons: number) => {
    const plan = tryOut(wanted, coupons);
    const fits = plan === "too-few" || use(plan) <= 1;
    if (fits) last = plan;
    return fits;
  };
  const drafted = Math.max(1, lastThatFits(fitsAs(draft), count, most));
  const found = lastThatFits(fitsAs(options), drafted, drafted);
  if (found === 0) throw new BeadbenchError("infeasible", "the budget pays for no coupon at all; raise it");
  return last === "too-few" ? attempt(options, Math.min(found, paid ?? found)) : last;
}

/**
 * The largest count up to `most` that fits, looked for from a first guess in doubling steps and then by halves: a plan
 * takes long, so no more than about two for each doubling of the count are made. 0 where not even 1 fits.
 */
function lastThatFits(fits: (count: number) => boolean, guess: number, most: number): number {
  let low = 0;
  let high = most + 1;
  let step = 1;
  for (let count = guess; low < count && count < high; step *= 2) {
    if (fits(count)) low = count;
    else high = count;
    const up = low === count;
    count += up ? step : -step;
    if (up ? high <= most : low > 0) break;
    count = Math.min(most, Math.max(1, count));
  }
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}
