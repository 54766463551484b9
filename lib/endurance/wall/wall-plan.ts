import type { WallCoupon } from "./coupons.js";
import type { GrowthPosterior } from "./growth-fit.js";
import type { LayerSchedule } from "./layer-schedule.js";
import type { LayerBand } from "./normal-mixture.js";
import type { CouponHint } from "./study-coupons.js";

/** What a constant rise would do. */
export interface ConstantRise {
  /** mm. */
  readonly rise: number;
  readonly origin: "given" | "preset" | "mean of the schedule";
  /** Stand-off before each layer, and after the last one, never levelled, mm. */
  readonly bands: readonly LayerBand[];
  /** First layers at which the band reaches touch and too long; null for none. */
  readonly touches: number | null;
  readonly stretches: number | null;
}

/** A wall's schedule and what stands behind it. Plain data, apart from `posterior`. */
export interface WallPlan extends LayerSchedule {
  /** Growth without any lever, layer by layer, mm. */
  readonly bare: readonly LayerBand[];
  /** Chance of each shape of the course and of each answer to the stand-off. */
  readonly shapes: Readonly<Record<string, number>>;
  readonly answers: Readonly<Record<string, number>>;
  readonly constant: ConstantRise;
  /** Walls worth laying next, most worth first; none where the band is narrow enough. */
  readonly coupons: readonly WallCoupon[];
  /** Walls logged, and the study's own coupons used. */
  readonly walls: readonly { readonly wall: string; readonly layers: number; readonly readings: number }[];
  readonly studyCoupons: readonly CouponHint[];
  /** Of one layer, s. */
  readonly arcTime: number;
  /** s, of arcs and dwells together. */
  readonly time: number;
  readonly posterior: GrowthPosterior;
}
