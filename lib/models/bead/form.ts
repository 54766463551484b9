import type { Finding } from "../../errors/index.js";
import { mean } from "../../numeric/index.js";
import type { BlockShift } from "./block-shifts.js";
import type { ResponseData } from "./response-data.js";
import { errorOn, errorUnitOf, type ScaleName } from "./response-scale.js";

/** The forms a bead model can take, simplest first where coefficients are equal in number. */
export type FormName =
  | "constrained"
  | "energy-balance"
  | "power-law"
  | "linear"
  | "quadratic"
  | "gaussian-process";

/** A coupon as measured and as fitted, in the response's unit. */
export interface FittedCoupon {
  readonly coupon: string;
  readonly measured: number;
  readonly fitted: number;
  /** Prediction by a fit without this coupon. */
  readonly leftOut: number;
}

/** What every form of bead model reports about itself on one response, so that forms can be compared. Plain data. */
export interface FormQuality {
  readonly form: FormName;
  readonly response: string;
  readonly unit: string;
  /** The response's own scale, on which errors are told. */
  readonly scale: ScaleName;
  /** Coupons fitted. */
  readonly n: number;
  /** Coefficients of the mean that the coupons determine. */
  readonly parameters: number;
  readonly df: number;
  /** Unit of `scatter` and `leaveOneOutError`: 1 where they are relative to the value. */
  readonly errorUnit: string;
  /** Standard deviation of a single coupon about the model. */
  readonly scatter: number;
  /** Root mean square of the leave-one-out errors (of their natural logarithms where relative). */
  readonly leaveOneOutError: number;
  /** Akaike criterion of the response itself, comparable between scales; absent where a form has none of its own. */
  readonly aic?: number;
  /** The same with its small-sample correction; absent also where coupons are too few for that. */
  readonly aicc?: number;
  /** Coverage of the intervals. */
  readonly level: number;
  /**
   * How much the response shifts from block to block; `scatter`, errors and predictions then are those of a coupon of
   * a block to come. Absent where the study has no blocks or the form takes no shifts.
   */
  readonly shift?: BlockShift;
  readonly coupons: readonly FittedCoupon[];
  readonly findings: readonly Finding[];
}

/** An estimate with its interval. */
export interface EstimateWithInterval {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** An estimated coefficient of one term (the exponent, in a power law), with its interval: by t, or by profile likelihood where the form is curved in it. */
export interface Coefficient extends EstimateWithInterval {
  readonly term: string;
  readonly standardError: number;
}

/** Options of the bead fits. */
export interface BeadFitOptions {
  /** Coverage of the intervals. Default 0.95. */
  readonly level?: number;
  /** Coupons to leave out; they are named in the findings. */
  readonly without?: readonly string[];
}

/** Coverage of intervals when none is asked for. */
export const DEFAULT_LEVEL = 0.95;

/** The squared leave-one-out error of a coupon, on the response's own scale. */
export function squaredLeftOut(scale: ScaleName, { measured, leftOut }: FittedCoupon): number {
  return errorOn(scale, measured, leftOut) ** 2;
}

/** The part of {@link FormQuality} that follows from what a form says of each coupon, in the response's unit. */
export function couponQuality(
  data: Pick<ResponseData, "response" | "unit" | "scale" | "coupons" | "y">,
  fitted: readonly number[],
  leftOut: readonly number[],
): Pick<FormQuality, "response" | "unit" | "scale" | "n" | "errorUnit" | "leaveOneOutError" | "coupons"> {
  const { response, unit, scale, y } = data;
  const coupons = data.coupons.map((coupon, i) => ({
    coupon,
    measured: y[i]!,
    fitted: fitted[i]!,
    leftOut: leftOut[i]!,
  }));
  return {
    response,
    unit,
    scale,
    n: y.length,
    errorUnit: errorUnitOf(scale, unit),
    leaveOneOutError: Math.sqrt(mean(coupons.map((coupon) => squaredLeftOut(scale, coupon)))),
    coupons,
  };
}
