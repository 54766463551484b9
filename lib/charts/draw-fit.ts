import { BeadbenchError } from "../errors/index.js";
import { type FittedCoupon, predictBead, type Settings, type StudyFit } from "../models/index.js";
import type { Coupon, StudyDefinition } from "../study/index.js";
import { blockOf } from "./draw-study.js";
import { chartEffects } from "./effects.js";
import { chartNormalQuantiles } from "./normal-quantiles.js";
import { chartPredicted } from "./predicted.js";
import { chartResiduals } from "./residuals.js";
import { chartResponse } from "./response.js";
import type { ChartQuantity, ChartSpec } from "./spec.js";

/** Coupons of one response as measured and fitted by the form the fit chose. */
function fittedCoupons(fit: StudyFit, response: string): readonly FittedCoupon[] {
  const joint = fit.chosen === "constrained" ? fit.constrained : undefined;
  if (joint !== undefined && response === "bead_width") return joint.width.coupons;
  if (joint !== undefined && response === "bead_height") return joint.height.coupons;
  const own = fit.powerLaws.find((law) => law.response === response);
  if (own === undefined) {
    throw new BeadbenchError("bad-argument", `no model of "${response}" in this fit`);
  }
  return own.coupons;
}

function quantity(definition: StudyDefinition, response: string): ChartQuantity {
  return { name: response, unit: definition.responses.find(({ name }) => name === response)?.unit ?? "1" };
}

const levelOf = (fit: StudyFit): number => (fit.constrained ?? fit.powerLaws[0])?.level ?? 0.95;

/** Points along each curve. */
const POINTS = 41;

/** A response against each setting in turn, the others held, with the coupons measured. */
export function drawResponse(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  fit: StudyFit,
  response: string,
  at: Settings,
): ChartSpec {
  const used = new Set(fittedCoupons(fit, response).map(({ coupon }) => coupon));
  const varied = definition.factors.filter(({ name, kind }) => {
    const values = coupons.filter(({ id }) => used.has(id)).map(({ settings }) => settings[name]);
    return kind !== "category" && new Set(values).size > 1;
  });
  return chartResponse({
    response: quantity(definition, response),
    level: levelOf(fit),
    held: varied
      .map(
        ({ name, unit }) => `${name.replaceAll("_", " ")} ${Number(Number(at[name]).toPrecision(4))} ${unit}`,
      )
      .join(", "),
    panels: varied.map(({ name, unit, low, high }) => {
      const xs = Array.from({ length: POINTS }, (_, i) => low + ((high - low) * i) / (POINTS - 1));
      const predictions = predictBead(
        definition,
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
          .filter(({ id }) => used.has(id))
          .map(({ id, settings, measured }) => ({
            coupon: id,
            x: Number(settings[name]),
            y: measured[response]!,
          })),
      };
    }),
  });
}

/** Measured against predicted, each coupon predicted with its interval. */
export function drawPredicted(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  fit: StudyFit,
  response: string,
): ChartSpec {
  const byId = new Map(coupons.map((coupon) => [coupon.id, coupon]));
  const fitted = fittedCoupons(fit, response);
  const predictions = predictBead(
    definition,
    fit,
    fitted.map(({ coupon }) => byId.get(coupon)!.settings),
  );
  return chartPredicted({
    response: quantity(definition, response),
    level: levelOf(fit),
    coupons: fitted.map(({ coupon, measured }, i) => {
      const p = predictions[i]!.find((prediction) => prediction.response === response)!;
      return { coupon, measured, predicted: p.estimate, low: p.prediction.lower, high: p.prediction.upper };
    }),
  });
}

/** Relative residuals of a response, in per cent of the fitted value. */
function relativeResiduals(
  coupons: readonly Coupon[],
  fit: StudyFit,
  response: string,
): readonly { readonly coupon: Coupon; readonly residual: number }[] {
  const byId = new Map(coupons.map((coupon) => [coupon.id, coupon]));
  return fittedCoupons(fit, response).map(({ coupon, measured, fitted }) => ({
    coupon: byId.get(coupon)!,
    residual: 100 * Math.log(measured / fitted),
  }));
}

/** Residuals in run order, by block: shows drift, day shifts and outliers. */
export function drawResiduals(coupons: readonly Coupon[], fit: StudyFit, response: string): ChartSpec {
  const residuals = relativeResiduals(coupons, fit, response);
  const spread = Math.sqrt(
    residuals.reduce((sum, { residual }) => sum + residual ** 2, 0) / residuals.length,
  );
  return chartResiduals({
    response: { name: response, unit: "%" },
    limit: 2.5 * spread,
    residuals: residuals.map(({ coupon, residual }) => ({
      coupon: coupon.id,
      run: coupon.order,
      residual,
      block: blockOf(coupon),
    })),
  });
}

/** Residuals against the quantiles of a normal distribution. */
export function drawNormalQuantiles(coupons: readonly Coupon[], fit: StudyFit, response: string): ChartSpec {
  return chartNormalQuantiles({
    response: { name: response, unit: "%" },
    residuals: relativeResiduals(coupons, fit, response).map(({ coupon, residual }) => ({
      coupon: coupon.id,
      residual,
    })),
  });
}

/** Exponents of the settings on a response, with their intervals. */
export function drawExponents(fit: StudyFit, response: string): ChartSpec {
  const joint = fit.chosen === "constrained" && response === "bead_width" ? fit.constrained : undefined;
  const source = joint ?? fit.powerLaws.find((law) => law.response === response);
  if (source === undefined) {
    throw new BeadbenchError("bad-argument", `no exponents of "${response}" in this fit`);
  }
  return chartEffects({
    title: `${response.replaceAll("_", " ")}: how it answers to the settings`,
    effect: { name: "exponent", unit: "1" },
    level: source.level,
    effects: source.exponents.map(({ term, estimate, lower, upper }) => ({
      name: term,
      estimate,
      low: lower,
      high: upper,
    })),
  });
}
