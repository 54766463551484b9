import type { Quantity } from "../../units/index.js";
import type { ResponseKind } from "./response-kind.js";

/** The value of `schema` in a study.json this version reads and writes. */
export const STUDY_SCHEMA = "beadbench/study/1";

/** A number with its unit symbol, such as mm, A, L/min. In study.json it may also be written as one text: `"1.2 mm"`. */
export type { Quantity };

/** The filler wire. It gives the density and the melting heat, by its material card, and the section fed, by its diameter. */
export interface Wire {
  /** Classification as printed on the spool, such as `ISO 14343-A W 19 9 L Si` or `ER308LSi`. */
  readonly classification: string;
  readonly diameter: Quantity;
  /** Name of a material card, such as `316L`; told from the classification when absent. */
  readonly material?: string;
}

/** The plate, bar, tube or ring the beads are laid on. */
export interface Base {
  readonly material?: string;
  readonly thickness?: Quantity;
  /** Outer diameter of a bar, tube or ring. */
  readonly diameter?: Quantity;
}

/** The shielding gas. Its flow, in any unit of volume per time, counts in what a coupon takes. */
export interface Gas {
  /** ISO 14175 designation, such as `I1` (argon) or `M21`. */
  readonly code: string;
  readonly flow?: Quantity;
}

/** What stays the same for every coupon: settings of the rig, each with its unit, and how much heat reaches the part. */
export interface Rig {
  readonly name?: string;
  /** Settings held constant during the whole study, such as arc_voltage or standoff. */
  readonly settings: Readonly<Record<string, Quantity>>;
  /** Share of the arc power that reaches the part, above 0 to 1. */
  readonly efficiency?: number;
}

/** A setting the study varies. */
export interface Factor {
  readonly name: string;
  /** Unit of `low`, `high`, `step`, `levels` and `settingSd`; `1` for a category. */
  readonly unit: string;
  readonly kind: "continuous" | "discrete" | "category";
  /** Lowest setting; for a category the index of its first level, 0. */
  readonly low: number;
  /** Highest setting; for a category the index of its last level. */
  readonly high: number;
  /** Finest increment the rig can set. */
  readonly step?: number;
  /** `hard` when changing it costs much time, such as a nozzle or a wire spool. */
  readonly change: "easy" | "hard";
  /** The allowed settings: numbers for a discrete factor, names for a category. */
  readonly levels?: readonly (number | string)[];
  /** Standard deviation of what the rig really holds about the setting asked for. */
  readonly settingSd?: number;
}

/** Limits of a good part, in the response's unit. */
export interface Spec {
  readonly lower?: number;
  readonly target?: number;
  readonly upper?: number;
}

/** Something measured or judged on each coupon. */
export interface Response {
  readonly name: string;
  /** `1` for passFail and grade. */
  readonly unit: string;
  readonly kind: ResponseKind;
  readonly spec?: Spec;
  /** Which answer is good, of passFail: `no` under a defect such as spatter. Default yes, but under a defect undecided. */
  readonly good?: "yes" | "no";
  /** Standard deviation of repeated measurements of one and the same bead. */
  readonly gaugeSd?: number;
  /** `log` when the scatter grows in proportion to the value. */
  readonly scale: "linear" | "log";
}

/** Bounds a derived process quantity, such as arc_energy. */
export interface QuantityLimit {
  readonly quantity: string;
  readonly unit: string;
  readonly min?: number;
  readonly max?: number;
}

/** Bounds a linear combination of factors: the sum of coefficient times setting (in the factor's unit). */
export interface LinearLimit {
  readonly terms: Readonly<Record<string, number>>;
  readonly name?: string;
  readonly min?: number;
  readonly max?: number;
}

/** A bound that every setting keeps to; it has `min`, `max` or both, in its own unit. */
export type Limit = QuantityLimit | LinearLimit;

/** Prices and times, to weigh coupons and builds. */
export interface Costs {
  /** ISO 4217 code or any word. */
  readonly currency?: string;
  readonly gasPerM3?: number;
  readonly wirePerKg?: number;
  readonly labourPerHour?: number;
  readonly materialPerCoupon?: number;
  readonly minutesPerCoupon?: number;
  /** Time to change a factor marked `change: "hard"`. */
  readonly minutesPerHardChange?: number;
}

/** A study as study.json defines it, defaults filled in. */
export interface StudyDefinition {
  readonly schema: typeof STUDY_SCHEMA;
  readonly name: string;
  /** ISO 4063 process number, such as `141` (TIG with filler) or `135` (MAG, solid wire). */
  readonly process: string;
  /** Absent where no wire is fed, as in remelting or cladding with powder. */
  readonly wire?: Wire;
  readonly base?: Base;
  readonly gas?: Gas;
  readonly rig?: Rig;
  readonly factors: readonly Factor[];
  readonly responses: readonly Response[];
  readonly limits: readonly Limit[];
  /** Names of block columns, such as day, cylinder, tungsten_grind. */
  readonly blocks: readonly string[];
  readonly costs?: Costs;
  /**
   * Numbers in the place of those the models believe before any coupon, such as `width_sd`; without a unit stands "1".
   * The models check names, units and values.
   */
  readonly priors?: Readonly<Record<string, Quantity>>;
  /**
   * Settings that ran before, outside the record, in the user's words: `"150 A, 1.2 m/min, good"`. They count for less than a
   * logged coupon.
   */
  readonly known?: readonly string[];
  /** Seed of the study's random choices. */
  readonly seed: number;
}
