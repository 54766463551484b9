import type { SettingWithUnit } from "./best-setting.js";

/** What the next coupons are for: to learn where coupons survive, to hit the specification, to pin the edge. */
export type Aim = "explore" | "hit" | "edge";

/** One coupon worth running. */
export interface Proposal {
  readonly settings: readonly SettingWithUnit[];
  readonly role: Aim | "confirm" | "control";
  /** Chance that it conforms, and that it passes all checks. */
  readonly chance: number;
  readonly survival: number;
  readonly interval: readonly [lower: number, upper: number];
  /** Expected rise of the best known chance when this coupon alone is run. */
  readonly expectedGain: number;
  /** Why this one, in a sentence. */
  readonly why: string;
}
