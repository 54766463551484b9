import type { Finding } from "../../errors/index.js";
import { mean } from "../../numeric/index.js";
import { groupRows } from "../../study/index.js";
import type { BlockShift } from "./block-shifts.js";
import type { FormName } from "./form-rules.js";
import { settingLabels } from "./left-out.js";
import type { ResponseData } from "./response-data.js";
import { errorOn, errorUnitOf, type ScaleName } from "./response-scale.js";

/** A coupon as measured and as fitted, in the response's unit. */
export interface FittedCoupon {
  readonly coupon: string;
  readonly measured: number;
  readonly fitted: number;
  /** Which setting it was run at: coupons of the same number are repeats. */
  readonly setting: number;
  /**
   * Prediction by a fit that saw no coupon of this setting, nor of its block where blocks are left out whole. Absent where
   * the other settings do not determine it.
   */
  readonly leftOut?: number;
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
  /** Unit of `scatter` and `leftOutError`: 1 where they are relative to the value. */
  readonly errorUnit: string;
  /** Standard deviation of a single coupon about the model. */
  readonly scatter: number;
  /**
   * Root mean square error at settings left out with all their repeats (of natural logarithms where relative). Absent
   * where the settings are too few to foresee any of them.
   */
  readonly leftOutError?: number;
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

/** What a setting ranged over among the coupons. */
export interface SettingRange {
  readonly factor: string;
  readonly low: number;
  readonly high: number;
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

/** The squared error of a coupon foreseen from other settings, on the response's own scale; undefined where none is. */
export function squaredLeftOut(
  scale: ScaleName,
  { measured, leftOut }: Pick<FittedCoupon, "measured" | "leftOut">,
): number | undefined {
  return leftOut === undefined ? undefined : errorOn(scale, measured, leftOut) ** 2;
}

/** Mean squared left-out error of each setting that the others foresee; repeats of a setting err together. */
export function squaresBySetting({
  scale,
  coupons,
}: Pick<FormQuality, "scale" | "coupons">): ReadonlyMap<number, number> {
  const squares = coupons.flatMap((coupon) => {
    const square = squaredLeftOut(scale, coupon);
    return square === undefined ? [] : [{ setting: coupon.setting, square }];
  });
  return new Map(
    groupRows(squares, ({ setting }) => String(setting)).map(({ rows }) => [
      rows[0]!.setting,
      mean(rows.map(({ square }) => square)),
    ]),
  );
}

/** The part of {@link FormQuality} that follows from what a form says of each coupon, in the response's unit. */
export function couponQuality(
  data: Pick<ResponseData, "response" | "unit" | "scale" | "coupons" | "settings" | "y">,
  fitted: readonly number[],
  leftOut: readonly (number | undefined)[],
): Pick<FormQuality, "response" | "unit" | "scale" | "n" | "errorUnit" | "leftOutError" | "coupons"> {
  const { response, unit, scale, y } = data;
  const labels = settingLabels(data.settings);
  const numbers = new Map([...new Set(labels)].map((label, k) => [label, k]));
  const coupons = data.coupons.map((coupon, i): FittedCoupon => {
    const said = leftOut[i];
    const setting = numbers.get(labels[i]!)!;
    const known = { coupon, measured: y[i]!, fitted: fitted[i]!, setting };
    return said === undefined ? known : { ...known, leftOut: said };
  });
  const squares = coupons.flatMap((coupon) => squaredLeftOut(scale, coupon) ?? []);
  return {
    response,
    unit,
    scale,
    n: y.length,
    errorUnit: errorUnitOf(scale, unit),
    ...(squares.length === 0 ? {} : { leftOutError: Math.sqrt(mean(squares)) }),
    coupons,
  };
}
