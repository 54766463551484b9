import type { AxialDistance } from "../classical/index.js";
import type { PlanModel } from "../model/index.js";
import type { Criterion } from "../optimal/index.js";
import type { DesignFactor, DesignLimit, Settings, Survival } from "../region/index.js";
import type { CouponEffort, DesignKind, Effort } from "../runs/index.js";

/** What to plan: the factors in their own units, and how many coupons or how much effort they may take. */
export interface PlanOptions {
  readonly factors: readonly DesignFactor[];
  /** Most coupons to run, centre, repeat and control coupons included. Needed unless a budget is given. */
  readonly coupons?: number;
  /** Most minutes, litres of gas, metres of wire to spend; needs `couponEffort`. */
  readonly budget?: Partial<Effort>;
  /** Default: chosen from the factors, the limits and the count, and named in the result. */
  readonly design?: DesignKind;
  readonly limits?: readonly DesignLimit[];
  /** Same seed, same plan. */
  readonly seed: number;
  /** Coupons at the centre. Default: up to 5 of what a textbook design leaves over; else 0. */
  readonly centreRepeats?: number;
  /** Settings of coupons already run: optimal plans complete them, Latin hypercubes keep away from them. */
  readonly existing?: readonly Settings[];
  /** Chance that each of those gave dimensions or will: 1 where it did, 0 where it failed. Default 1. */
  readonly existingSurvival?: readonly number[];
  /**
   * Chance that a coupon gives dimensions. Coupons of optimal and space-filling plans are chosen where that is high enough,
   * and optimal ones weighed by it; coupons of classical plans are pulled towards the centre until it is. Default: all survive.
   */
  readonly survival?: Survival;
  /** Chance to survive that is asked of every coupon, 0 to 1; less where nothing is so sure. Default 0.5. */
  readonly survivalLevel?: number;
  /** Lets an optimal plan allow for an offset between old and new coupons (another day). Default false. */
  readonly existingOffset?: boolean;
  /** Blocks (days, cylinders ...) of nearly equal size. Default 1. */
  readonly blocks?: number;
  /** Default "random"; "drift-robust" keeps slow drift apart from the effects. */
  readonly order?: "random" | "drift-robust";
  /** Work sessions of so many coupons, each opened by a control coupon unless `control` is false. */
  readonly session?:
    | { readonly coupons: number; readonly control?: boolean | Settings | undefined }
    | undefined;
  /** Central composite only, and asks for one unless `design` says otherwise. Default "face". */
  readonly axial?: AxialDistance;
  /** Optimal plans: what is to be fitted. Default: the richest polynomial with two coupons to spare. */
  readonly model?: PlanModel;
  /** Optimal plans. Default "D". */
  readonly criterion?: Criterion;
  /** Optimal plans: coupons spent on exact repeats. Default: half of what the model leaves over, at most a
   * quarter of the coupons and at most 3. */
  readonly repeats?: number;
  /** Optimal plans: random starts. Default 50; fewer, at least 10, when coupons x factors x terms exceed 6000, the sooner the
   * more factors there are beyond six. */
  readonly starts?: number;
  /** Optimal plans: settings of the hard-to-change factors. Default: enough to estimate them, at least a quarter of the coupons. */
  readonly wholePlots?: number;
  /** Optimal plans: variance between whole plots over variance between coupons. Default 1. */
  readonly varianceRatio?: number;
  /** Estimated effort of one coupon; gives the plan its `effort`. */
  readonly couponEffort?: CouponEffort;
  /** Time for changing the hard-to-change factors once, min. Default 0. */
  readonly minutesPerHardChange?: number;
}
