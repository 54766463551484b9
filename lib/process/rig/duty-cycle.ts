import { requireNumber } from "../../errors/index.js";
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

/**
 * Duty of the worst ten minutes of a build: arc and dwell in turn.
 *
 * @param arcTime - s per layer
 * @param dwell - s per layer
 * @returns share of ten minutes with the arc on; 1 for layers of ten minutes and more
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example dutyOfLayers(60, 40) // => 0.6
 */
export function dutyOfLayers(arcTime: number, dwell: number): number {
  requireNumber("arc time", arcTime, { above: 0, unit: "s" });
  requireNumber("dwell", dwell, { min: 0, unit: "s" });
  const cycle = 600;
  if (arcTime >= cycle) return 1;
  const period = arcTime + dwell;
  const whole = Math.floor(cycle / period);
  return (whole * arcTime + Math.min(arcTime, cycle - whole * period)) / cycle;
}

function requireRating(rating: DutyRating): void {
  requireSetting("current", rating.current);
  requireNumber("rated duty (a share, 0.35 for 35 %)", rating.duty, { above: 0, max: 1 });
  if (rating.largestCurrent !== undefined) {
    requireNumber("largest current", rating.largestCurrent, { min: rating.current, unit: "A" });
  }
}
