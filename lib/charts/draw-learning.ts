import type { LearningCurve } from "../window/index.js";
import { chartGain, type GainRow } from "./gain.js";
import { chartLearning } from "./learning.js";
import type { ChartSpec } from "./spec.js";

/** The best known chance against the coupons run, with what was known about it. */
export function drawLearning(curve: LearningCurve): ChartSpec {
  return chartLearning(curve);
}

/**
 * What the coupons between the steps of a learning curve added to the best known chance, against what was expected of them,
 * and what is expected of coupons still to be run. Undefined where there are none of either.
 *
 * @param ahead - coupons planned or proposed, with the rise expected of each alone
 */
export function drawGain({ batches }: LearningCurve, ahead: readonly GainRow[] = []): ChartSpec | undefined {
  const rows = [
    ...batches.map(({ from, to, expected, gained }) => ({
      name: from === to ? from : `${from} to ${to}`,
      expected,
      gained,
    })),
    ...ahead,
  ];
  return rows.length === 0 ? undefined : chartGain({ rows });
}
