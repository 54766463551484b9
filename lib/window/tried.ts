import { type Axis, codedFromSettings } from "../design/index.js";
import { ownValue } from "../errors/index.js";
import type { Settings, Verdict } from "../models/index.js";
import { solveNonnegative } from "../numeric/index.js";

/** A coupon that was run: where, and how it came out. */
export interface TriedCoupon {
  readonly coupon: string;
  readonly settings: Settings;
  readonly verdict: Verdict;
}

/** Where a setting lies as seen from the coupons that were run. */
export interface Whereabouts {
  /** Factors set beyond every coupon, with the range that was tried; for a category the levels. */
  readonly beyond: readonly { readonly factor: string; readonly tried: readonly (number | string)[] }[];
  /** Whether the coupons lie all around it: it is a mixture of theirs, in the same categories. */
  readonly surrounded: boolean;
  /** The coupon nearest to it, in shares of the factors' ranges; absent where none was run. */
  readonly nearest?: TriedCoupon;
}

/** A setting counts as a mixture of coupons within this of the factors' half ranges: what rounding leaves. */
const CLOSE = 1e-6;

interface Placed {
  readonly coupon: TriedCoupon;
  /** Numbers from -1 at a factor's low to 1 at its high, and levels by their place. */
  readonly coded: readonly number[];
}

/**
 * Tells how far settings lie from what was tried. Beyond the coupons a model leans on the laws it starts from, which few
 * coupons have tested there; between them it can be held against its neighbours.
 *
 * @throws {BeadbenchError} `bad-argument` for a coupon with a setting missing or a level the study does not list
 */
export function makeTried(
  axes: readonly Axis[],
  coupons: readonly TriedCoupon[],
): (settings: Settings) => Whereabouts {
  const placed = coupons.map(
    (coupon): Placed => ({
      coupon,
      coded: codedFromSettings(axes, coupon.settings, `coupon ${coupon.coupon}`),
    }),
  );
  const numeric = axes.flatMap(({ category }, j) => (category ? [] : [j]));
  const words = axes.flatMap(({ category }, j) => (category ? [j] : []));
  return (settings) => {
    const here = codedFromSettings(axes, settings, "the setting");
    const beyond = axes.flatMap(({ name, category, values }, j) => {
      const seen = placed.map(({ coded }) => coded[j]!);
      if (category) {
        const levels = values.filter((_, k) => seen.includes(k));
        return seen.includes(here[j]!) ? [] : [{ factor: name, tried: levels }];
      }
      const [least, most] = [Math.min(...seen), Math.max(...seen)];
      if (here[j]! >= least - CLOSE && here[j]! <= most + CLOSE) return [];
      const raw = coupons.map(({ settings: own }) => Number(ownValue(own, name)));
      return [{ factor: name, tried: raw.length === 0 ? [] : [Math.min(...raw), Math.max(...raw)] }];
    });
    const alike = placed.filter(({ coded }) => words.every((j) => coded[j] === here[j]));
    const distance = ({ coded }: Placed): number =>
      coded.reduce((sum, value, j) => {
        const apart = axes[j]!.category ? 2 * Number(value !== here[j]) : value - here[j]!;
        return sum + apart ** 2;
      }, 0);
    const nearest = placed.reduce<Placed | undefined>(
      (best, one) => (best === undefined || distance(one) < distance(best) ? one : best),
      undefined,
    )?.coupon;
    return {
      beyond,
      surrounded:
        beyond.length === 0 &&
        isMixture(
          pick(alike, numeric),
          numeric.map((j) => here[j]!),
        ),
      ...(nearest === undefined ? {} : { nearest }),
    };
  };
}

/** The numbers of coupons, each place once. */
function pick(placed: readonly Placed[], numeric: readonly number[]): readonly (readonly number[])[] {
  const rows = placed.map(({ coded }) => numeric.map((j) => coded[j]!));
  return [...new Map(rows.map((row) => [row.join(), row])).values()];
}

/** Whether a point is a weighted mean of others, no weight below 0: least squares with a row that holds the weights to 1. */
function isMixture(rows: readonly (readonly number[])[], point: readonly number[]): boolean {
  if (rows.length === 0) return false;
  const { residualNorm } = solveNonnegative({
    matrix: Float64Array.from(rows.flatMap((row) => [...row, 1])),
    rows: point.length + 1,
    columns: rows.length,
    y: Float64Array.from([...point, 1]),
  });
  return residualNorm <= CLOSE;
}
