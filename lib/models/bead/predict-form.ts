import { tQuantile } from "../../numeric/index.js";
import { predict, predictGaussianProcess } from "../../regression/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { Settings } from "../physical/index.js";
import { formModel, type RegressionFit } from "./form-model.js";
import { type ProcessFit, processPoints } from "./residual-process.js";
import { averageOnScale, responseScale } from "./response-scale.js";

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

/** A form fitted to one response by itself. */
export type FreeForm = RegressionFit | ProcessFit;

/** What a form says on its own scale. */
interface ScaledPrediction {
  readonly middle: number;
  /** Standard error of the mean. */
  readonly standardError: number;
  readonly extrapolation: boolean;
}

/** Predicts one response by one form at settings. */
export function predictForm(
  definition: StudyDefinition,
  form: FreeForm,
  settings: readonly Settings[],
): readonly BeadPrediction[] {
  const base = form.form === "gaussian-process" ? form.base : form;
  const scale = responseScale(base.fitScale, form.unit);
  const onBase = predictRegression(definition, base, settings);
  const [scaled, scatter] =
    form.form === "gaussian-process"
      ? [withDeparture(form, settings, onBase), Math.sqrt(form.process.noiseVariance)]
      : [onBase, base.fit.residualSd];
  const factor = tQuantile(0.5 + form.level / 2, form.df);
  return scaled.map(({ middle, standardError, extrapolation }) => {
    const interval = (sd: number) => ({
      lower: scale.back(middle - factor * sd),
      upper: scale.back(middle + factor * sd),
    });
    return {
      response: form.response,
      unit: form.unit,
      estimate: scale.back(middle),
      mean: averageOnScale(scale, middle, scatter),
      confidence: interval(standardError),
      prediction: interval(Math.hypot(standardError, scatter)),
      extrapolation,
    };
  });
}

function predictRegression(
  definition: StudyDefinition,
  form: RegressionFit,
  settings: readonly Settings[],
): readonly ScaledPrediction[] {
  const { model, row } = formModel(definition, form);
  return predict(form.fit, model, settings.map(row)).map((p, i) => ({
    middle: p.mean,
    standardError: p.standardError,
    extrapolation: p.extrapolation || !p.estimable || outsideRanges(form, settings[i]!),
  }));
}

/** Energy and area may be usual where no setting is: a form in them must look at the settings too. */
function outsideRanges(form: RegressionFit, settings: Settings): boolean {
  if (form.form !== "energy-balance") return false;
  return form.ranges.some(({ factor, low, high }) => {
    const value = Number(settings[factor]);
    return value < low || value > high;
  });
}

/** Adds the departure; its uncertainty and that of the base's coefficients add as if independent, which is cautious. */
function withDeparture(
  form: ProcessFit,
  settings: readonly Settings[],
  base: readonly ScaledPrediction[],
): readonly ScaledPrediction[] {
  const { mean, sd } = predictGaussianProcess(
    form.process,
    processPoints(form.axes, settings),
    base.map(({ middle }) => middle),
  );
  return base.map(({ standardError, extrapolation }, i) => ({
    middle: mean[i]!,
    standardError: Math.hypot(standardError, sd[i]!),
    extrapolation,
  }));
}
