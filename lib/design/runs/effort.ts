import { requireNumber } from "../../errors/index.js";
import type { Settings } from "../region/index.js";
import type { Effort, PlanEffort, PlannedRun } from "./plan.js";

/** Minutes, litres of gas and metres of wire that one coupon takes at its settings. */
export type CouponEffort = (settings: Settings) => Effort;

/**
 * Adds up the effort of a plan, in total and per session.
 *
 * @param minutesPerHardChange - added to the session in which a new group of hard-to-change settings begins, min
 * @throws {BeadbenchError} `bad-argument` when a coupon's effort is negative or not a number
 */
export function estimateEffort(
  runs: readonly PlannedRun[],
  couponEffort: CouponEffort,
  minutesPerHardChange: number,
): PlanEffort {
  const sessions: Effort[] = [];
  let hardChanges = 0;
  for (const [i, run] of runs.entries()) {
    const { minutes, gas, wire } = couponEffort(run.settings);
    for (const [what, value] of Object.entries({ minutes, gas, wire })) {
      requireNumber(`${what} of coupon ${run.order}`, value, { min: 0 });
    }
    const changes = i > 0 && run.wholePlot !== runs[i - 1]!.wholePlot ? 1 : 0;
    hardChanges += changes;
    const index = (run.session ?? 1) - 1;
    const before = sessions[index] ?? { minutes: 0, gas: 0, wire: 0 };
    sessions[index] = {
      minutes: before.minutes + minutes + changes * minutesPerHardChange,
      gas: before.gas + gas,
      wire: before.wire + wire,
    };
  }
  const sum = (of: (effort: Effort) => number): number => sessions.reduce((total, s) => total + of(s), 0);
  return {
    total: { minutes: sum((s) => s.minutes), gas: sum((s) => s.gas), wire: sum((s) => s.wire) },
    sessions,
    hardChanges,
  };
}
