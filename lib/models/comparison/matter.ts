import { normalCdf, normalQuantile, tCdf, tQuantile } from "../../numeric/index.js";

/** What a difference does to coupons that are to meet a specification. Plain data; sizes on the scale of the response. */
export interface Matter {
  /** Chance that a coupon aimed well conforms in the first group. */
  readonly before: number;
  /** The same in the second group at unchanged settings, averaged over what the coupons leave open of the difference. */
  readonly after: number;
  /** Chance that the difference costs more than {@link MATTERS}. */
  readonly chance: number;
  /** Largest differences that cost less: downwards and upwards, both positive; absent where none costs anything. */
  readonly tolerated: { readonly down?: number; readonly up?: number };
}

/** Loss of chance to conform that matters: 5 points, or a tenth where little is left to lose. A choice, no source. */
export const MATTERS = { points: 0.05, share: 0.1 } as const;

/** Chance that is aimed for where a specification has one end only. */
const AIMED = 0.95;
/** Points of the distribution of the difference over which the chance is averaged. */
const POINTS = 200;

/** A specification on the scale of the response. */
export interface ScaledSpec {
  readonly lower?: number;
  readonly target?: number;
  readonly upper?: number;
}

/** Where a shop aims: at the target, in the middle, or as far inside one end as scatter asks. */
export function aimOf({ lower, target, upper }: ScaledSpec, scatter: number): number {
  if (target !== undefined) return target;
  if (lower !== undefined && upper !== undefined) return (lower + upper) / 2;
  const away = normalQuantile(AIMED) * scatter;
  return lower === undefined ? upper! - away : lower + away;
}

/**
 * What a difference d, known by its t distribution, does to coupons with normal scatter that were aimed at the specification:
 *
 *     after = mean over d of P(lower < aim + d + scatter < upper)
 *
 * @param scatter - standard deviation of single coupons, above 0
 */
export function matterOf(
  spec: ScaledSpec,
  scatter: number,
  shift: { readonly estimate: number; readonly standardError: number; readonly df: number },
): Matter {
  const { lower = Number.NEGATIVE_INFINITY, upper = Number.POSITIVE_INFINITY } = spec;
  const aim = aimOf(spec, scatter);
  const conforming = (d: number): number =>
    normalCdf((upper - aim - d) / scatter) - normalCdf((lower - aim - d) / scatter);
  const before = conforming(0);
  const least = before - Math.min(MATTERS.points, MATTERS.share * before);
  const { estimate, standardError, df } = shift;
  const below = (d: number): number =>
    standardError > 0 ? tCdf((d - estimate) / standardError, df) : Number(estimate < d);
  const after =
    Array.from({ length: POINTS }, (_, i) =>
      conforming(estimate + standardError * tQuantile((i + 0.5) / POINTS, df)),
    ).reduce((sum, chance) => sum + chance, 0) / POINTS;
  const up = Number.isFinite(upper)
    ? lastAbove((d) => conforming(d), least, upper - aim + 10 * scatter)
    : undefined;
  const down = Number.isFinite(lower)
    ? lastAbove((d) => conforming(-d), least, aim - lower + 10 * scatter)
    : undefined;
  return {
    before,
    after,
    chance: (up === undefined ? 0 : 1 - below(up)) + (down === undefined ? 0 : below(-down)),
    tolerated: { ...(down === undefined ? {} : { down }), ...(up === undefined ? {} : { up }) },
  };
}

/** The largest d up to `far` at which a chance that ends below `least` is still above it, by halving. */
function lastAbove(chance: (d: number) => number, least: number, far: number): number {
  // The chance may rise first, where the aim lies off the middle; from its top on it only falls.
  const steps = 400;
  let low = 0;
  for (let i = 1; i < steps; i++) if (chance((far * i) / steps) >= least) low = (far * i) / steps;
  let high = low + far / steps;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (chance(middle) >= least) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** More coupons than this per group are not asked for. */
const MOST_COUPONS = 60;

/**
 * Coupons of each group at one and the same setting after which a difference is known within what is tolerated;
 * undefined where more than 60 were needed, or where nothing is to be told.
 */
export function couponsToSettle(
  { tolerated: { down, up } }: Matter,
  scatter: number,
  level: number,
): number | undefined {
  const room = Math.min(down ?? Number.POSITIVE_INFINITY, up ?? Number.POSITIVE_INFINITY);
  if (!Number.isFinite(room)) return undefined;
  for (let n = 2; n <= MOST_COUPONS; n++)
    if (tQuantile((1 + level) / 2, 2 * n - 2) * scatter * Math.sqrt(2 / n) <= room) return n;
  return undefined;
}
