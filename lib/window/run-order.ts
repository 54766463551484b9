import { driftRobustOrder } from "../design/index.js";
import type { RandomStream } from "../numeric/index.js";

/** Fewest coupons whose order can keep a trend apart from anything. */
const FEWEST = 3;

/**
 * Orders coupons so that a trend within the day is as little as may be mixed up with what their settings do. Coupons with the
 * same hard-to-change settings stay together.
 *
 * @param points - of the coupons, on the model's axes
 * @param groups - of each coupon, what is hard to change about it
 * @returns numbers of the coupons, in the order to run them
 */
export function orderAgainstTrend(
  points: readonly Float64Array[],
  groups: readonly string[],
  stream: RandomStream,
): readonly number[] {
  if (points.length < FEWEST) return points.map((_, i) => i);
  const names = [...new Set(groups)];
  const hard = names.length > 1;
  return driftRobustOrder({
    blocks: points.map(() => 0),
    plots: groups.map((group, i) => (hard ? names.indexOf(group) : i)),
    columns: centred(points),
    stream,
  }).order;
}

/** Settings about their mean, one column of length 1 per axis that moves. */
function centred(points: readonly Float64Array[]): readonly Float64Array[] {
  return Array.from(points[0]!.keys()).flatMap((j) => {
    const mean = points.reduce((sum, point) => sum + point[j]!, 0) / points.length;
    const column = Float64Array.from(points, (point) => point[j]! - mean);
    const norm = Math.hypot(...column);
    return norm > 1e-9 ? [column.map((value) => value / norm)] : [];
  });
}
