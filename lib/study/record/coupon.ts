import type { Quantity, StudyDefinition } from "../definition/index.js";
import type { Result } from "./result.js";

/** One bead or test piece as it stands after replaying the journal. What was not measured has no key. */
export interface Coupon {
  readonly id: string;
  /** `planned` until something is logged; `voided` when it must not be used. */
  readonly state: "planned" | "logged" | "voided";
  /** Place in the run order, from 1. */
  readonly order: number;
  /** Block columns, such as `{ day: "2" }`. */
  readonly blocks: Readonly<Record<string, string>>;
  /** Factor settings as run (as planned while nothing is logged), in the factor's unit. */
  readonly settings: Readonly<Record<string, number | string>>;
  /** The settings asked for, when the coupon was planned. */
  readonly plannedSettings?: Readonly<Record<string, number | string>>;
  /** Unit in which a setting or response was written down, where that is not the study's unit. */
  readonly statedUnits?: Readonly<Record<string, string>>;
  /** Other logged quantities that are neither factor nor response, such as arc_voltage, with their unit. */
  readonly context: Readonly<Record<string, Quantity>>;
  /** What came out, by response: ask {@link resultOf}, since a response may be named like a part of every object. */
  readonly results: Readonly<Record<string, Result>>;
  /** Columns looked at again: corrected, or confirmed by a correction to the value they had. */
  readonly checkedAgain?: readonly string[];
  /** Why the coupon was planned, such as corner, centre, repeat. */
  readonly role?: string;
  readonly notes: readonly string[];
  /** RFC 3339 time of logging; of planning while nothing is logged. */
  readonly time: string;
  /** `seq` of the journal entry that last changed it. */
  readonly seq: number;
}

/** What asks only how a study is set up. */
export interface DefinedStudy {
  readonly definition: StudyDefinition;
}

/**
 * A study as everything that judges, fits or draws it takes it, first of all arguments: the definition and the coupons,
 * or a part of them. A {@link Study} is one.
 */
export interface StudyData extends DefinedStudy {
  readonly coupons: readonly Coupon[];
}
