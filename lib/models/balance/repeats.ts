import { grouped } from "../../errors/index.js";
import { mean, rounds } from "../../numeric/figures/index.js";
import { canonicalJson } from "../../study/journal/index.js";
import { type Coupon, measuredOf, measuredResults, type StudyData } from "../../study/record/index.js";
import { blockOf, layerSetOf } from "../physical/index.js";

/**
 * Coupons run at the same settings, in run order; groups of one are included. A first layer and a wall are not
 * repeats of each other.
 */
export function groupBySettings({ coupons }: Pick<StudyData, "coupons">): readonly (readonly Coupon[])[] {
  const groups = grouped(coupons, (coupon) => canonicalJson([layerSetOf(coupon) ?? null, coupon.settings]));
  return [...groups.values()];
}

/** Scatter of repeated coupons of one response. */
export interface PureError {
  readonly response: string;
  /** Settings run more than once with this response measured. */
  readonly settings: number;
  readonly coupons: number;
  /** Degrees of freedom: coupons minus settings minus shifts. */
  readonly df: number;
  /** Pooled standard deviation, in the response's unit. */
  readonly sd: number;
  /** Pooled coefficient of variation: the standard deviation of repeats about their mean, relative to it. */
  readonly cv: number;
  /** Shifts of blocks taken out of it; absent where there are none, or too few repeats to tell scatter from them. */
  readonly shifts?: number;
}

/** Degrees of freedom with which scatter is still told better without shifts than with them. */
const LEAST_LEFT = 3;

/** A value among its repeats, and the block it was run in, where coupons name one. */
interface Repeat {
  readonly value: number;
  readonly block: string;
}

/**
 * Pure error of each measured response from repeats; a response without repeats has no entry. Repeats on different days
 * or in other blocks that coupons name differ by the shift of the block too: one shift for all settings is taken out of
 * each block, as in a two-way layout without interaction.
 */
export function pureErrors({ coupons }: Pick<StudyData, "coupons">): readonly PureError[] {
  const groups = groupBySettings({ coupons });
  const names = new Set(coupons.flatMap((coupon) => measuredResults(coupon).map(([name]) => name)));
  return [...names].flatMap((response) => {
    const repeated = groups
      .map((group) =>
        group.flatMap((coupon): Repeat[] => {
          const value = measuredOf(coupon, response);
          return value === undefined ? [] : [{ value, block: namedBlock(coupon) }];
        }),
      )
      .filter((repeats) => repeats.length > 1);
    const count = repeated.reduce((sum, repeats) => sum + repeats.length, 0);
    const freedom = count - repeated.length;
    if (freedom === 0) return [];
    // Without the last bits of the sum: repeats that agree exactly have no scatter.
    const middles = repeated.map((repeats) => rounds(mean(repeats.map(({ value }) => value)), 14));
    const about = (relative: boolean): readonly number[] =>
      repeated.flatMap((repeats, g) =>
        repeats.map(({ value }) => (value - middles[g]!) / (relative ? Math.abs(middles[g]!) : 1)),
      );
    const shifts = blockShifts(repeated);
    const isTold = shifts.length > 0 && freedom - shifts.length >= LEAST_LEFT;
    const df = freedom - (isTold ? shifts.length : 0);
    const sdOf = (relative: boolean): number =>
      Math.sqrt(squares(isTold ? withoutShifts(about(relative), shifts) : about(relative)) / df);
    return [
      {
        response,
        settings: repeated.length,
        coupons: count,
        df,
        sd: sdOf(false),
        cv: sdOf(true),
        ...(isTold ? { shifts: shifts.length } : {}),
      },
    ];
  });
}

const namedBlock = (coupon: Coupon): string =>
  Object.keys(coupon.blocks).length === 0 ? "" : blockOf(coupon);
const squares = (values: readonly number[]): number => values.reduce((sum, value) => sum + value ** 2, 0);
const product = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, i) => sum + value * b[i]!, 0);

/** Orthonormal columns that a shift per block moves repeats by, about the mean of their setting. */
function blockShifts(repeated: readonly (readonly Repeat[])[]): readonly (readonly number[])[] {
  const blocks = [...new Set(repeated.flat().map(({ block }) => block))];
  const columns: (readonly number[])[] = [];
  for (const block of blocks) {
    const raw = repeated.flatMap((repeats) => {
      const own = repeats.map((repeat) => Number(repeat.block === block));
      const middle = mean(own);
      return own.map((value) => value - middle);
    });
    const rest = withoutShifts(raw, columns);
    const length = Math.sqrt(squares(rest));
    if (length > 1e-9) columns.push(rest.map((value) => value / length));
  }
  return columns;
}

/** What is left of values when each orthonormal column is taken out. */
function withoutShifts(
  values: readonly number[],
  columns: readonly (readonly number[])[],
): readonly number[] {
  return columns.reduce((left, column) => {
    const share = product(left, column);
    return left.map((value, i) => value - share * column[i]!);
  }, values);
}
