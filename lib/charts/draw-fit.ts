import { BeadbenchError, ownValue } from "../errors/index.js";
import {
  blockOf,
  chosenQuality,
  type FormQuality,
  isPerHalfRange,
  predictBead,
  regressionBehind,
  type Settings,
  type StudyFit,
} from "../models/index.js";
import { inWords, settingDigits } from "../numeric/index.js";
import type { Coupon, StudyData } from "../study/index.js";
import { withUnit } from "../units/index.js";
import { chartEffects } from "./effects.js";
import { chartNormalQuantiles } from "./normal-quantiles.js";
import { chartPredicted } from "./predicted.js";
import { chartResiduals } from "./residuals.js";
import { chartResponse } from "./response.js";
import type { ChartQuantity, ChartSpec } from "./spec.js";

const quantity = ({ response, unit }: FormQuality): ChartQuantity => ({ name: response, unit });

/** Points along each curve. */
const POINTS = 41;

/**
 * A response against each setting in turn, the others held as they are `at`, with bands for the mean and for a coupon.
 * The coupons measured are drawn where they were run, also those far from the held settings.
 *
 * @throws {BeadbenchError} `bad-argument` when the fit has no model of the response
 */
export function drawResponse(
  { definition, coupons }: StudyData,
  fit: StudyFit,
  { response, at }: { readonly response: string; readonly at: Settings },
): ChartSpec {
  const quality = chosenQuality(fit, response);
  const measuredOf = new Map(quality.coupons.map(({ coupon, measured }) => [coupon, measured]));
  const varied = definition.factors.filter(({ name, kind }) => {
    const values = coupons
      .filter(({ id }) => measuredOf.has(id))
      .map(({ settings }) => ownValue(settings, name));
    return kind !== "category" && new Set(values).size > 1;
  });
  return chartResponse({
    response: quantity(quality),
    level: quality.level,
    held: varied
      .map(
        ({ name, unit }) => `${inWords(name)} ${withUnit(settingDigits(Number(ownValue(at, name))), unit)}`,
      )
      .join(", "),
    panels: varied.map(({ name, unit, low, high }) => {
      const xs = Array.from({ length: POINTS }, (_, i) => low + ((high - low) * i) / (POINTS - 1));
      const predictions = predictBead(
        { definition },
        fit,
        xs.map((x) => ({ ...at, [name]: x })),
      );
      return {
        setting: { name, unit },
        curve: xs.map((x, i) => {
          const p = predictions[i]!.find((prediction) => prediction.response === response)!;
          return {
            x,
            fit: p.estimate,
            meanLow: p.confidence.lower,
            meanHigh: p.confidence.upper,
            couponLow: p.prediction.lower,
            couponHigh: p.prediction.upper,
          };
        }),
        measured: coupons
          .filter(({ id }) => measuredOf.has(id))
          .map(({ id, settings }) => ({
            coupon: id,
            x: Number(ownValue(settings, name)),
            y: measuredOf.get(id)!,
          })),
      };
    }),
  });
}

/**
 * Measured against predicted, each coupon with the interval predicted for one. The coupons were fitted too, so they lie
 * closer than new ones will: the left-out error of the fit is the honest figure.
 *
 * @throws {BeadbenchError} `bad-argument` when the fit has no model of the response
 */
export function drawPredicted(
  { definition, coupons }: StudyData,
  fit: StudyFit,
  response: string,
): ChartSpec {
  const byId = new Map(coupons.map((coupon) => [coupon.id, coupon]));
  const quality = chosenQuality(fit, response);
  const predictions = predictBead(
    { definition },
    fit,
    quality.coupons.map(({ coupon }) => byId.get(coupon)!.settings),
  );
  return chartPredicted({
    response: quantity(quality),
    level: quality.level,
    coupons: quality.coupons.map(({ coupon, measured }, i) => {
      const p = predictions[i]!.find((prediction) => prediction.response === response)!;
      return { coupon, measured, predicted: p.estimate, low: p.prediction.lower, high: p.prediction.upper };
    }),
  });
}

/** What the fit chosen for a response misses: in per cent of the fitted value where errors are relative, else in the response's unit. */
function residualsOf(
  coupons: readonly Coupon[],
  fit: StudyFit,
  response: string,
): {
  readonly quantity: ChartQuantity;
  readonly rows: readonly { readonly coupon: Coupon; readonly residual: number }[];
} {
  const byId = new Map(coupons.map((coupon) => [coupon.id, coupon]));
  const quality = chosenQuality(fit, response);
  const relative = quality.errorUnit === "1";
  return {
    quantity: { name: response, unit: relative ? "%" : quality.errorUnit },
    rows: quality.coupons.map(({ coupon, measured, fitted }) => ({
      coupon: byId.get(coupon)!,
      residual: relative ? 100 * Math.log(measured / fitted) : measured - fitted,
    })),
  };
}

/**
 * Residuals in run order, by block: shows drift, day shifts and outliers, with lines at 2.5 times their root mean square.
 * In per cent where errors are relative, else in the unit of the response.
 *
 * @throws {BeadbenchError} `bad-argument` when the fit has no model of the response
 */
export function drawResiduals(
  { coupons }: Pick<StudyData, "coupons">,
  fit: StudyFit,
  response: string,
): ChartSpec {
  const { quantity: unit, rows } = residualsOf(coupons, fit, response);
  const spread = Math.sqrt(rows.reduce((sum, { residual }) => sum + residual ** 2, 0) / rows.length);
  return chartResiduals({
    response: unit,
    limit: 2.5 * spread,
    residuals: rows.map(({ coupon, residual }) => ({
      coupon: coupon.id,
      run: coupon.order,
      residual,
      block: blockOf(coupon),
    })),
  });
}

/**
 * Residuals against the quantiles of a normal distribution: a straight line where they are normal. Fewer than about twenty
 * tell little.
 *
 * @throws {BeadbenchError} `bad-argument` when the fit has no model of the response
 */
export function drawNormalQuantiles(
  { coupons }: Pick<StudyData, "coupons">,
  fit: StudyFit,
  response: string,
): ChartSpec {
  const { quantity: unit, rows } = residualsOf(coupons, fit, response);
  return chartNormalQuantiles({
    response: unit,
    residuals: rows.map(({ coupon, residual }) => ({ coupon: coupon.id, residual })),
  });
}

/**
 * What each setting does to a response in the form chosen for it, with intervals: exponents, or for a surface the
 * change over half a setting's range. The height of a constrained form has none of its own: its power law is drawn.
 *
 * @throws {BeadbenchError} `bad-argument` when the fit has no model of the response, or none with coefficients
 */
export function drawExponents(fit: StudyFit, response: string): ChartSpec {
  const { form } = chosenQuality(fit, response);
  const joint = fit.constrained.find(({ width }) => width.response === response);
  const own = fit.responses.find((candidate) => candidate.response === response)!.forms;
  const found = own.find((candidate) => candidate.form === form) ?? own.find((f) => f.form === "power-law");
  const base = found && regressionBehind(found);
  const effects = form === "constrained" && joint !== undefined ? joint.exponents : base?.coefficients;
  if (effects === undefined) {
    throw new BeadbenchError("bad-argument", `the fit of "${response}" has no exponents to draw`);
  }
  return chartEffects({
    title: `${inWords(response)}: how it answers to the settings`,
    effect:
      base !== undefined && isPerHalfRange(base.form)
        ? {
            name:
              base.fitScale === "log" ? "change of the logarithm per half range" : "change per half range",
            unit: base.fitScale === "linear" ? base.unit : "1",
          }
        : { name: "exponent", unit: "1" },
    level: chosenQuality(fit, response).level,
    effects: effects.map(({ term, estimate, lower, upper }) => ({
      name: term,
      estimate,
      low: lower,
      high: upper,
    })),
  });
}
