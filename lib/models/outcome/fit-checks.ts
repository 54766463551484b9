import type { RandomStream } from "../../numeric/index.js";
import type { BoundaryDraw } from "./boundary.js";
import { makeCheckChance } from "./check-chance.js";
import type { Coordinate } from "./coordinates.js";
import type { Margin } from "./margins.js";
import type { SeenCoupon } from "./seen-coupon.js";
import { type CheckedPoint, drawBoundaries } from "./survival-fit.js";
import { OLDER_VERDICT_WEIGHT, verdictWeight } from "./transfer.js";

/** A pass/fail check and the posterior draws of the boundary beyond which it fails. */
export interface CheckModel {
  readonly name: string;
  readonly margins: readonly Margin[];
  /** The first ones go with the draws of the weights; the others sharpen averages. */
  readonly draws: readonly BoundaryDraw[];
  readonly coupons: number;
  readonly failures: number;
}

/** Draws of each check per draw of everything: averages over boundaries are the roughest. */
const BOUNDARIES = 2;

/**
 * Draws the failure boundaries of every check from the verdicts, those of an older study as far as the new
 * ones do not surprise somebody who knows the old ones.
 *
 * @param draws - draws of everything together; each check gets more
 * @returns the checks, and per check with older verdicts how much such a verdict counts
 */
export function fitChecks(
  names: readonly string[],
  margins: readonly Margin[],
  coordinates: readonly Coordinate[],
  own: readonly SeenCoupon[],
  older: readonly SeenCoupon[],
  draws: number,
  stream: RandomStream,
): { readonly checks: readonly CheckModel[]; readonly weights: Readonly<Record<string, number>> } {
  const weights = new Map<string, number>();
  const checks = names.map((name): CheckModel => {
    const fresh = verdictsOf(own, name, 1);
    const old = verdictsOf(older, name, OLDER_VERDICT_WEIGHT);
    const stem = stream.split(`check/${name}`);
    const draw = (data: readonly CheckedPoint[]): readonly BoundaryDraw[] =>
      everyNthFirst(drawBoundaries(margins, coordinates.length, data, BOUNDARIES * draws, stem), BOUNDARIES);
    if (old.length > 0) {
      weights.set(
        name,
        fresh.length === 0
          ? OLDER_VERDICT_WEIGHT
          : verdictWeight(makeCheckChance(draw(old), coordinates), fresh),
      );
    }
    const weight = weights.get(name) ?? 0;
    return {
      name,
      margins,
      draws: draw([...fresh, ...old.map((item) => ({ ...item, weight }))]),
      coupons: fresh.length,
      failures: fresh.filter((item) => !item.passed).length,
    };
  });
  return { checks, weights: Object.fromEntries(weights) };
}

/** Reorders a chain so that its first part is spread over all of it. */
function everyNthFirst<T>(chain: readonly T[], n: number): readonly T[] {
  return Array.from({ length: n }, (_, start) => chain.filter((_, i) => i % n === start)).flat();
}

function verdictsOf(coupons: readonly SeenCoupon[], name: string, weight: number): readonly CheckedPoint[] {
  return coupons.flatMap((coupon) => {
    const passed = coupon.passed.get(name);
    return passed === undefined ? [] : [{ point: coupon.point, passed, weight }];
  });
}
