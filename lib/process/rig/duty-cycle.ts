import { requireNumber, requireThat } from "../../errors/index.js";
import { requireSetting } from "../handbook/index.js";

/** A rating of a power source, torch or feeder: the current it carries for a share of ten minutes. */
export interface DutyRating {
  /** A. */
  readonly current: number;
  /** Share of a ten-minute cycle, 0.35 for 35 %. */
  readonly duty: number;
  /** Largest current it may give at all, A. Default the rated current. */
  readonly largestCurrent?: number;
}

/**
 * Share of ten minutes a rated piece carries a current.
 *
 *     X2 = X1 (I1/I2)^2, at most 1; 0 above the largest current
 *
 * Ratings hold at 40 degC surroundings (from memory); a layer longer than ten minutes is a 100 % case.
 * For pulsed arcs take the rms current.
 *
 * @param current - I2, A
 * @throws {BeadbenchError} `bad-argument` for a rating, current or share that cannot be, naming it
 * @source thermal rule behind IEC 60974-1 ratings
 * @example dutyAt({ current: 200, duty: 0.35 }, 150) // => 0.6222
 */
export function dutyAt(rating: DutyRating, current: number): number {
  requireRating(rating);
  requireSetting("current", current);
  if (current > (rating.largestCurrent ?? rating.current)) return 0;
  return Math.min(1, rating.duty * (rating.current / current) ** 2);
}

/**
 * Current a rated piece carries for a share of ten minutes.
 *
 *     I2 = I1 sqrt(X1/X2), at most the largest current
 *
 * @param duty - X2
 * @returns A
 * @throws {BeadbenchError} `bad-argument` for a rating, current or share that cannot be, naming it
 * @source thermal rule behind IEC 60974-1 ratings
 * @example currentAtDuty({ current: 200, duty: 0.35 }, 1) // => 118.32
 */
export function currentAtDuty(rating: DutyRating, duty: number): number {
  requireRating(rating);
  requireNumber("duty (a share, 0.35 for 35 %)", duty, { above: 0, max: 1 });
  return Math.min(rating.largestCurrent ?? rating.current, rating.current * Math.sqrt(rating.duty / duty));
}

/** A wait, and the arc that follows it, s. */
export interface ArcTurn {
  readonly off: number;
  readonly on: number;
}

/** s in a cycle of the ratings. */
const CYCLE = 600;

/**
 * Duty of the worst ten minutes of a build, wherever they begin.
 *
 * @param turns - in order of time
 * @returns share of ten minutes with the arc on; 1 where it burns for ten minutes and more
 * @throws {BeadbenchError} `bad-argument` without a turn, or for a time outside its bounds, naming it
 * @example worstDuty(Array.from({ length: 20 }, () => ({ off: 40, on: 60 }))) // => 0.6
 */
export function worstDuty(turns: readonly ArcTurn[]): number {
  requireThat(turns.length > 0, "a duty needs at least one arc");
  let clock = 0;
  const arcs = turns.map(({ off, on }) => {
    requireNumber("wait", off, { min: 0, unit: "s" });
    requireNumber("arc time", on, { min: 0, unit: "s" });
    const from = clock + off;
    clock = from + on;
    return { from, to: clock };
  });
  // Any window may be moved back to the start of an arc and hold no less of it. Time with the arc on before each arc:
  const before = [0];
  for (const { from, to } of arcs) before.push(before.at(-1)! + to - from);
  let [worst, last] = [0, 0];
  arcs.forEach(({ from }, i) => {
    const end = from + CYCLE;
    while (last < arcs.length && arcs[last]!.to <= end) last++;
    const within = last < arcs.length ? Math.max(0, end - arcs[last]!.from) : 0;
    worst = Math.max(worst, before[last]! - before[i]! + within);
  });
  return Math.min(1, worst / CYCLE);
}

function requireRating(rating: DutyRating): void {
  requireSetting("current", rating.current);
  requireNumber("rated duty (a share, 0.35 for 35 %)", rating.duty, { above: 0, max: 1 });
  if (rating.largestCurrent !== undefined) {
    requireNumber("largest current", rating.largestCurrent, { min: rating.current, unit: "A" });
  }
}
