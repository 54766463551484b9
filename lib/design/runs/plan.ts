import type { Finding } from "../../errors/index.js";
import type { DesignFactor, Settings } from "../region/index.js";

/** The kinds of plan, in the words of the statistics of experiments. */
export const designKinds = [
  "factorial",
  "fractional",
  "screening",
  "central-composite",
  "box-behnken",
  "definitive-screening",
  "latin-hypercube",
  "sobol",
  "optimal",
] as const;

/** One of {@link designKinds}. */
export type DesignKind = (typeof designKinds)[number];

/** What a coupon is for. */
export type RunRole =
  | "factorial"
  | "axial"
  | "edge"
  | "centre"
  | "repeat"
  | "space-filling"
  | "optimal"
  | "control";

/** One coupon of a plan. */
export interface PlannedRun {
  /** Place in the order of work, from 1. */
  readonly order: number;
  /** Place in the plan's own systematic order, from 1; 0 for a control coupon. */
  readonly standardOrder: number;
  readonly role: RunRole;
  /** Block (day, cylinder ...), from 1; only when the plan is blocked. */
  readonly block?: number;
  /** Work session, from 1; only when sessions were asked for. */
  readonly session?: number;
  /** Coupons run on one setting of the hard-to-change factors, from 1; only when there are such factors. */
  readonly wholePlot?: number;
  readonly settings: Settings;
  /** Chance that it gives dimensions; only when survival was foreseen. */
  readonly survival?: number;
  /** Where the plan had it before it was pulled to where coupons live. */
  readonly movedFrom?: Settings;
}

/** What coupons cost to run. */
export interface Effort {
  /** Minutes. */
  readonly minutes: number;
  /** Shielding gas, L. */
  readonly gas: number;
  /** Wire, m. */
  readonly wire: number;
}

/** Estimated effort of a plan. */
export interface PlanEffort {
  readonly total: Effort;
  /** In order; one entry per session, or a single one without sessions. */
  readonly sessions: readonly Effort[];
  /** How often the hard-to-change factors are set anew between coupons. */
  readonly hardChanges: number;
}

/** A plan in its order of work. Plain data: it survives JSON. */
export interface Plan {
  readonly design: DesignKind;
  readonly seed: number;
  readonly factors: readonly DesignFactor[];
  readonly runs: readonly PlannedRun[];
  /** Only when the effort of a coupon was given. */
  readonly effort?: PlanEffort;
  /** What the plan cannot tell, what was moved to fit limits and steps, and how to analyse it. */
  readonly findings: readonly Finding[];
}

/** A coded row of a textbook plan: -1 to +1 for numbers and for categories of two levels, else the level's index. */
export interface CodedRun {
  readonly role: RunRole;
  readonly coded: readonly number[];
  /** From 1. */
  readonly block?: number;
}
