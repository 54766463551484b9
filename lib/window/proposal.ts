import type { SettingWithUnit } from "./best-setting.js";
import type { CouponExpense } from "./expense.js";
import type { Reason } from "./reason.js";

/** What the next coupons are for: to learn where coupons survive, to hit the specification, to pin the edge. */
export type Aim = "explore" | "hit" | "edge";

/** One coupon worth running. */
export interface Proposal {
  readonly settings: readonly SettingWithUnit[];
  /** "part" tells settings apart that moved together. */
  readonly role: Aim | "confirm" | "control" | "part";
  /** Chance that it conforms, and that it passes all checks. */
  readonly chance: number;
  readonly survival: number;
  readonly interval: readonly [lower: number, upper: number];
  /** Expected rise of the best known chance when this coupon alone is run. */
  readonly expectedGain: number;
  /** Why this one, in a sentence. */
  readonly why: string;
  /** The same in two parts: what it shares with others of the batch, and what is its own. */
  readonly reason?: Reason;
  /** What it takes to run. */
  readonly expense: CouponExpense;
}
