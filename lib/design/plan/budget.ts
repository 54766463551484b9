import { BeadbenchError, requireThat } from "../../errors/index.js";
import type { Effort, Plan } from "../runs/index.js";
import type { PlanOptions } from "./plan-options.js";

/** Random starts while the number of coupons is still being found. */
const DRAFT_STARTS = 5;

/**
 * The largest plan a budget pays for. The count is scaled by what the last plan cost, then lowered until
 * the plan itself, with its control coupons and changes of hard factors, stays within the budget.
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
  for (let round = 0; round < 4; round++) {
    const plan = attempt(draft, count);
    const next = Math.max(1, Math.min(most, Math.floor(plan.runs.length / use(plan))));
    if (next === count) break;
    count = next;
  }
  while (count < most && use(attempt(draft, count + 1)) <= 1) count++;
  for (; count >= 1; count--) {
    const plan = attempt(options, count);
    if (use(plan) <= 1) return plan;
  }
  throw new BeadbenchError("infeasible", "the budget pays for no coupon at all; raise it");
}
