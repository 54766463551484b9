import { tQuantile } from "../../numeric/index.js";
import { predict, predictGaussianProcess, predictRandomBlock } from "../../regression/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { Settings } from "../physical/index.js";
import { totalSd } from "./block-shifts.js";
import { formModel, type RegressionFit } from "./form-model.js";
import { shiftedRow } from "./regression-form.js";
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
  /** Where the next single coupon lies: one of a block to come, where the form has a shift from block to block. */
  readonly prediction: { readonly lower: number; readonly upper: number };
  /** The model speaks where it was not measured. */
  readonly extrapolation: boolean;
}

/** A form fitted to one response by itself. */
export type FreeForm = RegressionFit | ProcessFit;

/** What a form says on its own scale. */
interface ScaledPrediction {
  readonly middle: number;
  /** Of the mean. */
  readonly standardError: number;
  readonly df: number;
  /** Standard deviation of the next coupon, doubt about the mean included, and of it without. */
  readonly next: { readonly sd: number; readonly df: number };
  readonly scatter: number;
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
  const scaled = form.form === "gaussian-process" ? withDeparture(form, settings, onBase) : onBase;
  return scaled.map(({ middle, standardError, df, next, scatter, extrapolation }) => {
    const interval = (sd: number, freedom: number) => {
      const half = tQuantile(0.5 + form.level / 2, freedom) * sd;
      return { lower: scale.back(middle - half), upper: scale.back(middle + half) };
    };
    return {
      response: form.response,
      unit: form.unit,
      estimate: scale.back(middle),
      mean: averageOnScale(scale, middle, scatter),
      confidence: interval(standardError, df),
      prediction: interval(next.sd, next.df),
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
  const rows = settings.map(row);
  const { fit, random } = form;
  const ofBlocks =
    random &&
    predictRandomBlock(
      random,
      rows.map((x) => shiftedRow(random, { model, fit }, x)),
      form.level,
    );
  return predict(fit, model, rows).map((p, i) => {
    const extrapolation = p.extrapolation || !p.estimable || outsideRanges(form, settings[i]!);
    if (random !== undefined && ofBlocks !== undefined) {
      const { mean, standardError, df, next } = ofBlocks[i]!;
      return { middle: mean, standardError, df, next, scatter: totalSd(random), extrapolation };
    }
    const next = { sd: Math.hypot(p.standardError, fit.residualSd), df: form.df };
    const { mean, standardError } = p;
    return { middle: mean, standardError, df: form.df, next, scatter: fit.residualSd, extrapolation };
  });
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
  const scatter = Math.sqrt(form.process.noiseVariance);
  return base.map(({ standardError, extrapolation }, i) => {
    const ofMean = Math.hypot(standardError, sd[i]!);
    return {
      middle: mean[i]!,
      standardError: ofMean,
      df: form.df,
      next: { sd: Math.hypot(ofMean, scatter), df: form.df },
      scatter,
      extrapolation,
    };
  });
}
