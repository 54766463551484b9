import type { RandomStream } from "../../numeric/index.js";
import type { Priors } from "../priors/index.js";
import type { BoundaryDraw } from "./boundary.js";
import { makeCheckChance } from "./check-chance.js";
import type { Coordinate } from "./coordinates.js";
import type { Margin } from "./margins.js";
import type { SeenCoupon } from "./seen-coupon.js";
import { type CheckedPoint, drawBoundaries } from "./survival-fit.js";
import { agreement } from "./transfer.js";
import { verdictDoubt } from "./verdict-doubt.js";

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

/** A coupon with the chance that it was run elsewhere than recorded. */
export interface JudgedCoupon
  extends Pick<SeenCoupon, "point" | "latents" | "passed" | "checkedAgain" | "memory"> {
  readonly astray: number;
}

/** What the checks of a study are fitted to. */
export interface CheckEvidence {
  readonly names: readonly string[];
  readonly margins: readonly Margin[];
  readonly coordinates: readonly Coordinate[];
  readonly own: readonly JudgedCoupon[];
  readonly older: readonly JudgedCoupon[];
  /** Draws of everything together; each check gets more. */
  readonly draws: number;
  readonly stream: RandomStream;
  readonly priors: Priors;
}

/**
 * Draws the failure boundaries of every check from the verdicts, those of an older study as far as the new
 * ones do not surprise somebody who knows the old ones.
 *
 * @returns the checks, and per check with older verdicts how much such a verdict counts
 */
export function fitChecks({
  names,
  margins,
  coordinates,
  own,
  older,
  draws,
  stream,
  priors,
}: CheckEvidence): {
  readonly checks: readonly CheckModel[];
  readonly weights: Readonly<Record<string, number>>;
} {
  const weights = new Map<string, number>();
  const checks = names.map((name): CheckModel => {
    const fresh = verdictsOf(own, name, 1);
    const logged = own.filter(({ passed, memory }) => memory === undefined && passed.has(name));
    const old = verdictsOf(older, name, priors.older_verdict_weight);
    const stem = stream.split(`check/${name}`);
    const draw = (data: readonly CheckedPoint[]): readonly BoundaryDraw[] =>
      everyNthFirst(
        drawBoundaries({
          margins,
          axes: coordinates.length,
          data,
          draws: BOUNDARIES * draws,
          stream: stem,
          priors,
        }),
        BOUNDARIES,
      );
    if (old.length > 0) {
      weights.set(
        name,
        fresh.length === 0
          ? priors.older_verdict_weight
          : priors.older_verdict_weight * agreement(makeCheckChance(draw(old), coordinates), fresh),
      );
    }
    const weight = weights.get(name) ?? 0;
    return {
      name,
      margins,
      draws: draw([...fresh, ...old.map((item) => ({ ...item, weight }))]),
      coupons: logged.length,
      failures: logged.filter(({ passed }) => passed.get(name) === false).length,
    };
  });
  return { checks, weights: Object.fromEntries(weights) };
}

/** Reorders a chain so that its first part is spread over all of it. */
function everyNthFirst<T>(chain: readonly T[], n: number): readonly T[] {
  return Array.from({ length: n }, (_, start) => chain.filter((_, i) => i % n === start)).flat();
}

function verdictsOf(coupons: readonly JudgedCoupon[], name: string, weight: number): readonly CheckedPoint[] {
  const doubtOf = verdictDoubt(
    coupons.filter(({ memory }) => memory === undefined),
    name,
  );
  return coupons.flatMap((coupon): CheckedPoint[] => {
    const { memory, point, astray } = coupon;
    const passed = coupon.passed.get(name);
    if (passed === undefined) return [];
    const places = memory?.places.get(name) ?? [{ point, share: 1 }];
    return [{ places, passed, weight, astray, doubt: memory === undefined ? doubtOf(coupon) : 1 }];
  });
}
