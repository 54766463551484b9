import { predict } from "../../regression/index.js";
import type { StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { derivedQuantity, physicalSettingOf, rigPhysics, type Settings } from "../physical/index.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import { constrainedModel, heightRow, widthRow } from "./constrained-rows.js";
import { powerLawRow, termName } from "./power-law-data.js";
import { modelOf, type PowerLawFit } from "./power-law-fit.js";
import type { StudyFit } from "./fit-study.js";

/** A predicted response at one setting, in the response's unit. */
export interface BeadPrediction {
  readonly response: string;
  readonly unit: string;
  /** Median of the next coupon. */
  readonly estimate: number;
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
    confidence: { lower: natural(p.confidence.lower), upper: natural(p.confidence.upper) },
    prediction: { lower: natural(p.prediction.lower), upper: natural(p.prediction.upper) },
    extrapolation: p.extrapolation,
  }));
}

function predictConstrained(
  definition: StudyDefinition,
  joint: ConstrainedFit,
  response: "bead_width" | "bead_height",
  unit: string,
  settings: readonly Settings[],
): readonly BeadPrediction[] {
  const physics = rigPhysics(definition);
  const width = response === "bead_width";
  const sd = width ? joint.shape.widthSd : joint.shape.heightSd;
  const model = constrainedModel(joint.terms.map(termName));
  const rows = settings.map((setting) => {
    const x = powerLawRow(joint.terms, setting);
    return width ? widthRow(x) : heightRow(x);
  });
  const largest = Math.max(...joint.fit.leverage);
  // The joint fit works on rows of unit variance: a new coupon of variance sd^2 has weight residualSd^2 / sd^2.
  const weight = joint.fit.residualSd ** 2 / sd ** 2;
  return predict(joint.fit, model, rows, { level: joint.level, weight }).map((p, i) => {
    const area = width
      ? 1
      : (derivedQuantity("bead_area", physicalSettingOf(definition, settings[i]!), physics) ?? Number.NaN);
    const natural = (log: number): number => convert(area * Math.exp(log), "mm", unit);
    return {
      response,
      unit,
      estimate: natural(p.mean),
      confidence: { lower: natural(p.confidence.lower), upper: natural(p.confidence.upper) },
      prediction: { lower: natural(p.prediction.lower), upper: natural(p.prediction.upper) },
      extrapolation: p.leverage / sd ** 2 > largest * (1 + 1e-9),
    };
  });
}
