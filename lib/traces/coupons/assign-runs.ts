import { BeadbenchError } from "../../errors/index.js";
import { counted, fixed, significant } from "../../numeric/index.js";
import type { MeasuredStretch, TraceMeasure } from "../measure/index.js";

/** A stretch of a trace that is a coupon's. */
export interface CouponTrace {
  readonly coupon: string;
  readonly stretch: MeasuredStretch;
}

/**
 * Which coupon each stretch of a trace is of: that of its time mark, else the coupons in the order they were run, one run
 * of arc each.
 *
 * @param coupons - ids in run order; not used where the trace was measured by marks
 * @throws {BeadbenchError} `refused` where there are more or fewer runs of arc than coupons (which is whose would be a guess), or one is
 *   named twice
 */
export function assignRuns(trace: TraceMeasure, coupons: readonly string[]): readonly CouponTrace[] {
  const { stretches, thresholds, file } = trace;
  const marked = stretches.flatMap(({ mark }) => mark?.coupon ?? []);
  const ids = marked.length > 0 ? marked : coupons;
  const twice = ids.find((id, i) => ids.indexOf(id) < i);
  if (twice !== undefined)
    throw new BeadbenchError(
      "refused",
      `${twice} is named twice: a coupon has one stretch of a trace; where its arc was lost, one mark over both parts tells it whole`,
    );
  if (marked.length > 0)
    return stretches.flatMap((stretch) =>
      stretch.mark === undefined ? [] : [{ coupon: stretch.mark.coupon, stretch }],
    );
  if (stretches.length === coupons.length)
    return coupons.map((coupon, i) => ({ coupon, stretch: stretches[i]! }));
  const runs = stretches.map(
    ({ from, to, current }, i) =>
      `\n  ${i + 1}: ${fixed(from ?? 0, 1)} to ${fixed(to ?? 0, 1)} s, ${significant(current.mean)} A`,
  );
  throw new BeadbenchError(
    "refused",
    `${file} has ${counted(stretches.length, "run")} of arc for ${counted(coupons.length, "coupon")} (${coupons.join(", ")}), so which is whose is not clear:${runs.join("")}\nSay which coupons it holds with --coupons, give times with --marks, or move what parts runs: arcs with less than ${thresholds.couponGap} s between them are one coupon (--threshold couponGap=), those shorter than ${thresholds.couponLeast} s none (couponLeast=)`,
  );
}
