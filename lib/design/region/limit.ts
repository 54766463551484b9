import { requireThat } from "../../errors/index.js";
import { type Axis, type Point, type Settings, settingsOf } from "./factor.js";
import { type Survival, survivalAt } from "./survival.js";

/**
 * A bound on something derived from the settings: arc energy, deposited area, a weighted sum of factors.
 * `value` must be a pure function; a result that is not a number counts as forbidden.
 */
export interface DesignLimit {
  readonly name: string;
  readonly value: (settings: Settings) => number;
  readonly min?: number;
  readonly max?: number;
  readonly unit?: string;
}

/** How far a value lies outside a limit, relative to the bound's size; 0 when it is met. */
export function violation(limit: DesignLimit, settings: Settings): number {
  const value = limit.value(settings);
  if (Number.isNaN(value)) return Number.POSITIVE_INFINITY;
  const below = limit.min === undefined ? 0 : limit.min - value;
  const above = limit.max === undefined ? 0 : value - limit.max;
  const scale = Math.max(Math.abs(limit.min ?? 0), Math.abs(limit.max ?? 0), 1e-9);
  const excess = Math.max(below, above) / scale;
  return excess > 1e-12 ? excess : 0;
}

/**
 * Whether settings meet every limit, up to what rounding leaves.
 *
 * @param settings - in the units of the factors
 */
export function meetsLimits(limits: readonly DesignLimit[], settings: Settings): boolean {
  return limits.every((limit) => violation(limit, settings) === 0);
}

/** Names of the limits that settings break. */
export function brokenLimits(limits: readonly DesignLimit[], settings: Settings): readonly string[] {
  return limits.filter((limit) => violation(limit, settings) > 0).map((limit) => limit.name);
}

/** The limits of a region, and where coupons survive, asked about points; answers are kept, since searches ask again and again. */
export interface Region {
  readonly axes: readonly Axis[];
  readonly limits: readonly DesignLimit[];
  allows(point: Point): boolean;
  /** Chance that a coupon there gives dimensions; 1 where nothing is known of it. */
  lives(point: Point): number;
}

/**
 * Joins axes, limits and what is known of survival.
 *
 * @throws {BeadbenchError} `bad-argument` for a limit without a bound or with min above max
 */
export function makeRegion(
  axes: readonly Axis[],
  limits: readonly DesignLimit[],
  survival?: Survival,
): Region {
  for (const { name, min, max } of limits) {
    requireThat(min !== undefined || max !== undefined, `limit "${name}" needs a min or a max`);
    requireThat(
      min === undefined || max === undefined || min <= max,
      `limit "${name}": min ${min} is above max ${max}`,
    );
  }
  const allows = (point: Point): boolean => meetsLimits(limits, settingsOf(axes, point));
  const lives = (point: Point): number => survivalAt(survival, settingsOf(axes, point));
  return {
    axes,
    limits,
    allows: limits.length === 0 ? () => true : kept(axes, allows),
    lives: survival === undefined ? () => 1 : kept(axes, lives),
  };
}

/** Answers kept at most; fewer where points are too many to be numbered, since their keys are texts. */
const MOST_KEPT = 1_000_000;
const MOST_WRITTEN = 250_000;

/** A question about points whose answers are kept. */
function kept<Answer>(axes: readonly Axis[], ask: (point: Point) => Answer): (point: Point) => Answer {
  const sizes = axes.map((axis) => axis.values.length);
  const numbered = sizes.reduce((product, size) => product * size, 1) < Number.MAX_SAFE_INTEGER;
  const keyOf = (point: Point): number | string => {
    if (!numbered) return point.join();
    let key = 0;
    for (let j = 0; j < sizes.length; j++) key = key * sizes[j]! + point[j]!;
    return key;
  };
  const most = numbered ? MOST_KEPT : MOST_WRITTEN;
  const known = new Map<number | string, Answer>();
  return (point) => {
    const key = keyOf(point);
    const before = known.get(key);
    if (before !== undefined) return before;
    const answer = ask(point);
    if (known.size < most) known.set(key, answer);
    return answer;
  };
}
