import { grouped } from "../../errors/index.js";
import { mean, rounds } from "../../numeric/figures/index.js";
import { type Coupon, measuredOf, measuredResults, type StudyData } from "../../study/record/index.js";
import { layerSetOf } from "../physical/index.js";

/**
 * Coupons run at the same settings, in run order; groups of one are included. A first layer and a wall are not
 * repeats of each other.
 */
export function groupBySettings({ coupons }: Pick<StudyData, "coupons">): readonly (readonly Coupon[])[] {
  const groups = grouped(coupons, (coupon) => {
    const settings = Object.entries(coupon.settings).sort(([a], [b]) => (a < b ? -1 : 1));
    return JSON.stringify([layerSetOf(coupon) ?? null, settings]);
  });
  return [...groups.values()];
}

/** Scatter of repeated coupons of one response. */
export interface PureError {
  readonly response: string;
  /** Settings run more than once with this response measured. */
  readonly settings: number;
  readonly coupons: number;
  /** Degrees of freedom: coupons minus settings. */
  readonly df: number;
  /** Pooled standard deviation, in the response's unit. */
  readonly sd: number;
  /** Pooled coefficient of variation: the standard deviation of repeats about their mean, relative to it. */
  readonly cv: number;
}

/** Pure error of each measured response from repeats; a response without repeats has no entry. */
export function pureErrors({ coupons }: Pick<StudyData, "coupons">): readonly PureError[] {
  const groups = groupBySettings({ coupons });
  const names = new Set(coupons.flatMap((coupon) => measuredResults(coupon).map(([name]) => name)));
  return [...names].flatMap((response) => {
    const repeated = groups
      .map((group) => group.flatMap((coupon) => measuredOf(coupon, response) ?? []))
      .filter((values) => values.length > 1);
    const count = repeated.reduce((sum, values) => sum + values.length, 0);
    const df = count - repeated.length;
    if (df === 0) return [];
    const squares = (relative: boolean): number =>
      repeated.reduce((sum, values) => {
        // Without the last bits of the sum: repeats that agree exactly have no scatter.
        const middle = rounds(mean(values), 14);
        const scale = relative ? Math.abs(middle) : 1;
        return sum + values.reduce((part, value) => part + ((value - middle) / scale) ** 2, 0);
      }, 0);
    return [
      {
        response,
        settings: repeated.length,
        coupons: count,
        df,
        sd: Math.sqrt(squares(false) / df),
        cv: Math.sqrt(squares(true) / df),
      },
    ];
  });
}
