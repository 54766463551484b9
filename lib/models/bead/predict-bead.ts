import { tQuantile } from "../../numeric/index.js";
import { predict } from "../../regression/index.js";
import type { StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { derivedQuantity, physicalSettingOf, rigPhysics, type Settings } from "../physical/index.js";
import { backTransform } from "./back-transform.js";
import { type ConstrainedFit, widthShare } from "./constrained-fit.js";
import type { StudyFit } from "./fit-study.js";
import { powerLawRow } from "./power-law-data.js";
import { modelOf, type PowerLawFit } from "./power-law-fit.js";

/** A predicted response at one setting, in the response's unit. */
export interface BeadPrediction {
  readonly response: string;
  readonly unit: string;
  /** Median of the next coupon. */
  readonly estimate: number;
  /** Mean of many coupons: above the median when scatter grows with the value. */
  readonly mean: number;
  /** Where the mean of many coupons lies. */
  readonly confidence: { readonly lower: number; readonly upper: number };
  /** Where the next single coupon lies. */
  readonly prediction: { readonly lower: number; readonly upper: number };
  /** The model speaks where it was not measured. */
  readonly extrapolation: boolean;
}

/**
 * Predicts every fitted response at settings, with the form the fit chose for the bead.
 *
 * @returns one list per setting, in the order of the study's responses
 */
export function predictBead(
  definition: StudyDefinition,
  fit: StudyFit,
  settings: readonly Settings[],
): readonly (readonly BeadPrediction[])[] {
  const joint = fit.chosen === "constrained" ? fit.constrained : undefined;
  const columns = definition.responses.flatMap(({ name, unit }) => {
    if (joint !== undefined && (name === "bead_width" || name === "bead_height")) {
      return [predictConstrained(definition, joint, name, unit, settings)];
    }
    const own = fit.powerLaws.find(({ response }) => response === name);
    return own === undefined ? [] : [predictPowerLaw(own, settings)];
  });
  return settings.map((_, i) => columns.map((column) => column[i]!));
}

/** Predicts one power law at settings. */
export function predictPowerLaw(fit: PowerLawFit, settings: readonly Settings[]): readonly BeadPrediction[] {
  const rows = settings.map((setting) => powerLawRow(fit.terms, setting));
  const natural = fit.error === "proportional" ? Math.exp : (value: number) => value;
  return predict(fit.fit, modelOf(fit), rows, { level: fit.level }).map((p) => ({
    response: fit.response,
    unit: fit.unit,
    estimate: natural(p.mean),
    mean: fit.error === "proportional" ? backTransform(p.mean, fit.fit.residualSd).mean : p.mean,
    confidence: { lower: natural(p.confidence.lower), upper: natural(p.confidence.upper) },
    prediction: { lower: natural(p.prediction.lower), upper: natural(p.prediction.upper) },
    extrapolation: p.extrapolation,
  }));
}

/**
 * With B the covariance, g = (1, ln x/xref ..., 0), share the part of the balance's scatter s_u that goes into
 * this response (gamma into the width, 1 - gamma into the height):
 *
 *     var(mean) = g' B g + share^2 s_u^2 / n,   var(next) = var(mean) + s^2 + (share^2 + var(gamma)) s_u^2
 */
function predictConstrained(
  definition: StudyDefinition,
  joint: ConstrainedFit,
  response: "bead_width" | "bead_height",
  unit: string,
  settings: readonly Settings[],
): readonly BeadPrediction[] {
  const physics = rigPhysics(definition);
  const isWidth = response === "bead_width";
  const { fit, fullnessSd, n } = joint;
  const share = isWidth ? widthShare(joint) : 1 - widthShare(joint);
  const shareError = fit.standardErrors.at(-1)!;
  const factor = tQuantile(0.5 + joint.level / 2, fit.df);
  const largest = Math.max(...fit.leverage);
  return settings.map((setting) => {
    const g = [1, ...powerLawRow(joint.terms, setting), 0];
    const logWidth = g.reduce((sum, part, j) => sum + part * fit.estimates[j]!, 0);
    const variance = g.reduce(
      (sum, a, j) => sum + g.reduce((part, b, k) => part + a * b * fit.covariance[j]![k]!, 0),
      0,
    );
    const area = derivedQuantity("bead_area", physicalSettingOf(definition, setting), physics) ?? Number.NaN;
    const log = isWidth ? logWidth : Math.log(area / joint.fullness.estimate) - logWidth;
    const ofMean = Math.sqrt(variance + (share * fullnessSd) ** 2 / n);
    const ofNext = Math.hypot(ofMean, fit.residualSd, Math.hypot(share, shareError) * fullnessSd);
    const natural = (value: number): number => convert(Math.exp(value), "mm", unit);
    const interval = (sd: number) => ({
      lower: natural(log - factor * sd),
      upper: natural(log + factor * sd),
    });
    return {
      response,
      unit,
      estimate: natural(log),
      mean: convert(backTransform(log, Math.hypot(fit.residualSd, share * fullnessSd)).mean, "mm", unit),
      confidence: interval(ofMean),
      prediction: interval(ofNext),
      extrapolation: fit.residualSd > 0 && variance / fit.residualSd ** 2 > largest * (1 + 1e-9),
    };
  });
}
