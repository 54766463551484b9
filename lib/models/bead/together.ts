import { BeadbenchError, type Finding } from "../../errors/index.js";
import { mean, significant, tQuantile } from "../../numeric/index.js";
import {
  type BlendedFit,
  blendedColumns,
  blendedDf,
  blendedLeftOut,
  type Fold,
  fitBlended,
  predictBlended,
  stackingWeights,
} from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { type BlendAxes, blendAxes, blendPoints } from "./blend-columns.js";
import { couponQuality, type FittedCoupon, type FormQuality } from "./form.js";
import { type FormName, isAveraged } from "./form-rules.js";
import { settingLabels } from "./left-out.js";
import type { ResponseData } from "./response-data.js";
import { type ResponseScale, responseScale, type ScaleName } from "./response-scale.js";

/** A forecaster that has a say, and how much. */
export interface Say {
  readonly form: FormName | "blended";
  readonly weight: number;
}

/** A coupon that all others disagree with; it counts for little in the blended surface. */
export interface CouponSlip {
  readonly coupon: string;
  /** How far off, in standard deviations of what the others foresee. */
  readonly deviation: number;
  /** Chance of one so far off among all coupons, were it no slip. */
  readonly chance: number;
}

/** All forms together as one forecaster of a response. Plain data. */
export interface TogetherFit {
  readonly response: string;
  readonly unit: string;
  readonly scale: ScaleName;
  readonly level: number;
  readonly axes: BlendAxes;
  /** On the response's scale. */
  readonly blended: BlendedFit;
  /** What weighs above 0, the blended surface first. */
  readonly says: readonly Say[];
  /** By how much intervals are widened, because left-out settings lay further off than foreseen. */
  readonly widening: number;
  /** As {@link FormQuality} tells it; the weights for a setting, too, were found without it. */
  readonly leftOutError: number;
  readonly errorUnit: string;
  /** Share of the left-out coupons that their interval held. */
  readonly covered: number;
  readonly coupons: readonly FittedCoupon[];
  readonly slips: readonly CouponSlip[];
  readonly findings: readonly Finding[];
}

/** Fewer settings cannot tell a law from scatter. */
const LEAST_SETTINGS = 5;
/** Work grows with the cube of the settings, and with that of the coupons where slips are sought. */
const MOST_COUPONS = 300;
/** What is believed of the weights before: the blended surface holds the other forms as special cases. */
const BLENDED_SHARE = 0.7;
/** As many settings' worth of belief that intervals are right as they are. */
const TRUSTED = 8;

/**
 * Foresees a response by all forms together: a blended surface (straight law, curvature and smooth departure, each as
 * far as the coupons support it) and the physical forms, averaged with weights that foresee left-out settings best.
 *
 * Intervals count the forms' disagreement and the search among them: they are widened where the errors at left-out
 * settings, for which neither forms nor weights had seen them, were larger than foreseen.
 *
 * @param forms - fitted to the same coupons
 * @throws {BeadbenchError} `not-enough-data` with fewer than five settings, more than 300 coupons, or none that the others
 *   foresee
 */
export function fitTogether({
  study: { definition },
  data,
  forms,
  level,
}: {
  readonly study: DefinedStudy;
  readonly data: ResponseData;
  readonly forms: readonly FormQuality[];
  readonly level: number;
}): TogetherFit {
  const { response, unit, settings, folds, y } = data;
  const labels = settingLabels(settings);
  if (new Set(labels).size < LEAST_SETTINGS || y.length > MOST_COUPONS || folds.length === 0) {
    throw new BeadbenchError(
      "not-enough-data",
      `${response}: forms are averaged over ${LEAST_SETTINGS} settings or more and ${MOST_COUPONS} coupons at most`,
    );
  }
  const scale = responseScale(data.scale, unit);
  const z = y.map(scale.forward);
  const axes = blendAxes({ definition }, settings);
  const points = blendPoints(axes, settings);
  const blended = fitBlended(
    {
      ...blendedColumns(points),
      y: z,
      setting: labels,
      ...(data.blocks === undefined ? {} : { block: data.blocks.labels }),
    },
    { seed: definition.seed },
  );
  const members = membersOf(data, forms, scale);
  const { weights, leftOut, spread, widening } = stack({
    z,
    folds,
    members,
    foreseen: blendedLeftOut(blended, folds),
  });
  const reach = tQuantile(0.5 + level / 2, blendedDf(blended)) * widening;
  const judged = leftOut.flatMap((value, i) =>
    value === undefined ? [] : [Math.abs(z[i]! - value) <= reach * spread[i]!],
  );
  const here = predictBlended(blended, points).map((point) => scale.back(point.mean));
  const quality = couponQuality(
    data,
    here,
    leftOut.map((value) => (value === undefined ? undefined : scale.back(value))),
  );
  const slips = blended.slips.map(({ row, deviation, chance }) => ({
    coupon: data.coupons[row]!,
    deviation,
    chance,
  }));
  return {
    response,
    unit,
    scale: data.scale,
    level,
    axes,
    blended,
    says: members.flatMap(({ form }, k) => (weights[k]! < 0.005 ? [] : [{ form, weight: weights[k]! }])),
    widening,
    leftOutError: quality.leftOutError!,
    errorUnit: quality.errorUnit,
    covered: mean(judged.map(Number)),
    coupons: quality.coupons,
    slips,
    findings: slipFindings(response, slips),
  };
}

/** A forecaster, with what it foresaw of each left-out coupon on the response's scale; the blended surface tells its own. */
interface Member {
  readonly form: Say["form"];
  readonly leftOut: readonly number[] | undefined;
}

/** The blended surface and the physical forms that foresee every left-out coupon. */
function membersOf(
  { y, folds }: ResponseData,
  forms: readonly FormQuality[],
  scale: ResponseScale,
): readonly Member[] {
  const physical = forms
    .filter(({ form, coupons }) => isAveraged(form) && coupons.length === y.length)
    .map(({ form, coupons }) => ({
      form,
      leftOut: coupons.map(({ leftOut }) => (leftOut === undefined ? Number.NaN : scale.forward(leftOut))),
    }))
    .filter(({ leftOut }) => folds.every(({ rows }) => rows.every((i) => Number.isFinite(leftOut[i]))));
  return [{ form: "blended", leftOut: undefined }, ...physical];
}

/** Forecasters averaged, and how that does on left-out settings. */
interface Stacked {
  /** One per member. */
  readonly weights: readonly number[];
  /** What is foreseen of each coupon by weights found without its setting. */
  readonly leftOut: readonly (number | undefined)[];
  /** Standard deviation of that, as claimed. */
  readonly spread: readonly number[];
  readonly widening: number;
}

/**
 * Weighs forecasters by their errors at left-out settings.
 *
 * @param z - the response on its scale
 * @param foreseen - the blended surface's word on each row of each fold
 */
function stack({
  z,
  folds,
  members,
  foreseen,
}: {
  readonly z: readonly number[];
  readonly folds: readonly Fold[];
  readonly members: readonly Member[];
  readonly foreseen: ReturnType<typeof blendedLeftOut>;
}): Stacked {
  const prior = members.map((_, k) =>
    members.length === 1 ? 1 : k === 0 ? BLENDED_SHARE : (1 - BLENDED_SHARE) / (members.length - 1),
  );
  const said = folds.map(({ rows }, k) =>
    rows.map((i, m) => members.map(({ leftOut }) => leftOut?.[i] ?? foreseen[k]![m]!.mean)),
  );
  // One row per fold: repeats of a setting err together.
  const errors = folds.map(({ rows }, k) =>
    members.map((_, j) => mean(rows.map((i, m) => z[i]! - said[k]![m]![j]!))),
  );
  const without = (fold: number): readonly (readonly number[])[] => errors.filter((_, k) => k !== fold);
  const weights = stackingWeights(errors, prior);
  const leftOut = new Array<number | undefined>(z.length).fill(undefined);
  const spread = new Array<number>(z.length).fill(0);
  const squares = folds.map(({ rows }, k) => {
    const own = errors.length < 3 ? weights : stackingWeights(without(k), prior);
    return mean(
      rows.map((i, m) => {
        const { middle, between } = averaged(said[k]![m]!, own);
        leftOut[i] = middle;
        spread[i] = Math.sqrt(foreseen[k]![m]!.sd ** 2 + between);
        return ((z[i]! - middle) / spread[i]!) ** 2;
      }),
    );
  });
  const widening = Math.sqrt(
    Math.max(1, (TRUSTED + squares.reduce((sum, square) => sum + square, 0)) / (TRUSTED + squares.length)),
  );
  return { weights, leftOut, spread, widening };
}

/** A weighted mean, and the variance between what is averaged. */
export function averaged(
  values: readonly number[],
  weights: readonly number[],
): { readonly middle: number; readonly between: number } {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const middle = values.reduce((sum, value, k) => sum + weights[k]! * value, 0) / total;
  const between = values.reduce((sum, value, k) => sum + weights[k]! * (value - middle) ** 2, 0) / total;
  return { middle, between };
}

function slipFindings(response: string, slips: readonly CouponSlip[]): readonly Finding[] {
  if (slips.length === 0) return [];
  const named = slips.map(
    ({ coupon, deviation }) => `${coupon} (${significant(Math.abs(deviation), 2)} standard deviations)`,
  );
  const one = slips.length === 1;
  return [
    {
      code: "likely-slip",
      severity: "warning",
      message: `${response}: ${named.join(", ")} ${one ? "lies" : "lie"} further from what the others foresee than scatter explains; the prediction by all forms together tolerates ${one ? "it: it counts" : "them: they count"} for little there, and in full in the single forms`,
      advice:
        "look at the log and measure again; leave a coupon out with --without only where a cause is found",
      about: slips.map(({ coupon }) => coupon),
    },
  ];
}
