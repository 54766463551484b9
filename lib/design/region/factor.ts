import { BeadbenchError, ownValue, requireThat } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";

/** A setting varied in a plan, in its own unit. A study's factor fits as it is. */
export interface DesignFactor {
  readonly name: string;
  readonly unit: string;
  /** Default "continuous"; "discrete" takes its values from `levels`, "category" its words. */
  readonly kind?: "continuous" | "discrete" | "category";
  /** Smallest and largest value the rig may run; needed unless `levels` are given. */
  readonly low?: number;
  readonly high?: number;
  /**
   * Smallest change that can be set; values are low, low + step, ... Default: about 1/100 of the range, on round numbers
   * where low is none.
   */
  readonly step?: number;
  /** "hard" when changing it costs so much time that coupons should share a setting. Default "easy". */
  readonly change?: "easy" | "hard";
  readonly levels?: readonly (number | string)[];
}

/** One coupon's settings by factor name, each in the factor's own unit. */
export type Settings = Readonly<Record<string, number | string>>;

/**
 * A factor reduced to the finite list of values it can be set to. A point of a plan is one index per axis,
 * so no value can fall between two steps.
 */
export interface Axis {
  readonly name: string;
  readonly unit: string;
  readonly category: boolean;
  readonly hard: boolean;
  /** Natural values coded -1 and +1; 0 and the last index for a category. */
  readonly low: number;
  readonly high: number;
  readonly values: readonly (number | string)[];
  /** Numeric: the values on the scale low = -1, high = +1, ascending. Category: 0, 1, 2 ... */
  readonly coded: readonly number[];
}

/** One index per axis. */
export type Point = readonly number[];

/** Drops the rounding noise of `low + i * step`. */
const tidy = (value: number): number => rounds(value, 12);

/** The largest of 1, 2, 5 x 10^m that is not above a hundredth of the range, and 10^m. */
function defaultStep(range: number): { readonly step: number; readonly power: number } {
  const target = range / 100;
  const power = 10 ** Math.floor(Math.log10(target) + 1e-9);
  return { step: tidy(power * ([5, 2].find((m) => m * power <= target * (1 + 1e-9)) ?? 1)), power };
}

/** A range without a step of its own: a low with more digits than a step has, such as 1.19888, stands alone. */
function roundValues(low: number, high: number): readonly number[] {
  const { step, power } = defaultStep(high - low);
  const isRound = tidy(low / power) === Math.round(low / power);
  const from = isRound ? low : Math.ceil(low / step) * step;
  const count = Math.floor((high - from) / step + 1e-9);
  const values = Array.from({ length: count + 1 }, (_, i) => tidy(from + i * step));
  return [...new Set([tidy(low), ...values, tidy(high)])];
}

function steppedValues(factor: DesignFactor): readonly number[] {
  const { name, low, high } = factor;
  if (low === undefined || high === undefined || !(low < high) || !Number.isFinite(high - low)) {
    throw new BeadbenchError(
      "bad-argument",
      `factor "${name}": low must be below high, got ${low} and ${high}`,
    );
  }
  const { step } = factor;
  if (step === undefined) return roundValues(low, high);
  requireThat(
    step > 0 && step <= high - low,
    `factor "${name}": step must be above 0 and no larger than high - low = ${tidy(high - low)}, got ${step}`,
  );
  const count = Math.floor((high - low) / step + 1e-9);
  requireThat(
    count <= 20000,
    `factor "${name}": step ${step} cuts the range into ${count} parts; at most 20000, so set a larger step`,
  );
  return Array.from({ length: count + 1 }, (_, i) => tidy(low + i * step));
}

function makeAxis(factor: DesignFactor): Axis {
  const { name, unit } = factor;
  const hard = factor.change === "hard";
  const distinct = [...new Set(factor.levels ?? [])];
  if (factor.kind === "category") {
    requireThat(
      distinct.length >= 2,
      `factor "${name}": a category needs at least 2 different levels, got ${distinct.length}`,
    );
    const coded = distinct.map((_, i) => i);
    return { name, unit, category: true, hard, low: 0, high: coded.length - 1, values: distinct, coded };
  }
  const values = distinct.length === 0 ? steppedValues(factor) : distinct.map(Number).sort((a, b) => a - b);
  requireThat(
    values.length >= 2 && values.every(Number.isFinite),
    `factor "${name}": levels must be at least 2 different numbers, got ${JSON.stringify(distinct)}`,
  );
  const low = tidy(factor.low ?? values[0]!);
  const high = tidy(factor.high ?? values[values.length - 1]!);
  requireThat(
    values[0]! >= low && values[values.length - 1]! <= high && low < high,
    `factor "${name}": levels must lie between low ${low} and high ${high}`,
  );
  const coded = values.map((value) => tidy((2 * (value - low)) / (high - low) - 1));
  return { name, unit, category: false, hard, low, high, values, coded };
}

/**
 * Checks the factors and lists the values each can take.
 *
 * @throws {BeadbenchError} `bad-argument` naming the factor and the fault
 */
export function makeAxes(factors: readonly DesignFactor[]): readonly Axis[] {
  requireThat(factors.length >= 1, "a plan needs at least 1 factor, got 0");
  const names = factors.map((factor) => factor.name);
  const twice = names.find((name, i) => names.indexOf(name) !== i);
  requireThat(twice === undefined, `factor names must differ, got "${twice}" twice`);
  return factors.map(makeAxis);
}

/**
 * Index of the level nearest to a coded value (-1 at low to +1 at high); the lower one on a tie.
 */
export function nearestLevel(axis: Axis, coded: number): number {
  const list = axis.coded;
  let lower = 0;
  let upper = list.length - 1;
  while (upper - lower > 1) {
    const middle = (lower + upper) >> 1;
    if (list[middle]! <= coded) lower = middle;
    else upper = middle;
  }
  return Math.abs(list[upper]! - coded) < Math.abs(coded - list[lower]!) ? upper : lower;
}

/** The point nearest to a coded row (-1 to +1 for numbers, the level's index for a category). */
export function pointFromCoded(axes: readonly Axis[], row: readonly number[]): Point {
  return axes.map((axis, j) => nearestLevel(axis, row[j]!));
}

/** The settings of a point, in the factors' own units. */
export function settingsOf(axes: readonly Axis[], point: Point): Settings {
  const settings: Record<string, number | string> = {};
  for (let j = 0; j < axes.length; j++) settings[axes[j]!.name] = axes[j]!.values[point[j]!]!;
  return settings;
}

/**
 * Coded row of a coupon that may lie off the steps or outside the range (one run before, or hand-written): -1 at low to +1
 * at high, the level's index for a category.
 *
 * @param what - names the coupon in the error
 * @throws {BeadbenchError} `bad-argument` for a setting that is missing, not finite, or a level nobody listed
 */
export function codedFromSettings(
  axes: readonly Axis[],
  settings: Settings,
  what: string,
): readonly number[] {
  return axes.map((axis) => {
    const value = ownValue(settings, axis.name);
    if (axis.category) {
      const index = axis.values.indexOf(value!);
      requireThat(
        index >= 0,
        `${what}: ${axis.name} must be one of ${axis.values.map(String).join(", ")}, got ${JSON.stringify(value)}`,
      );
      return index;
    }
    requireThat(
      typeof value === "number" && Number.isFinite(value),
      `${what}: ${axis.name} must be a number in ${axis.unit}, got ${JSON.stringify(value)}`,
    );
    return (2 * (value - axis.low)) / (axis.high - axis.low) - 1;
  });
}

/** The point in the middle of the region; `turn` walks through the levels of categories. */
export function centrePoint(axes: readonly Axis[], turn: number): Point {
  return axes.map((axis) => (axis.category ? turn % axis.values.length : nearestLevel(axis, 0)));
}
