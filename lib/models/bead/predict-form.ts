import { ownValue } from "../../errors/index.js";
import { tQuantile } from "../../numeric/index.js";
import { predict, predictGaussianProcess, predictRandomBlock } from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
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

/** The regression of a form: its own, or the one it departs from. */
export function regressionBehind(form: FreeForm): RegressionFit {
  return form.form === "gaussian-process" ? form.base : form;
}

/** Two ends, on the form's scale. */
interface Ends {
  readonly lower: number;
  readonly upper: number;
}

/** What a form says on its own scale. */
interface ScaledPrediction {
  readonly middle: number;
  /** Of the mean. */
  readonly standardError: number;
  readonly confidence: Ends;
  readonly prediction: Ends;
  /** Standard deviation of a coupon about the mean. */
  readonly scatter: number;
  readonly extrapolation: boolean;
}

/** Ends of a t interval. */
function about({
  middle,
  sd,
  df,
  level,
}: {
  readonly middle: number;
  readonly sd: number;
  readonly df: number;
  readonly level: number;
}): Ends {
  const half = tQuantile(0.5 + level / 2, df) * sd;
  return { lower: middle - half, upper: middle + half };
}

/**
 * Predicts one response by one form at settings, in the response's unit, with intervals for the mean and for a coupon.
 * Other forms may say otherwise: `predictBead` weighs them together.
 *
 * @returns one prediction per settings; `extrapolation` tells how far they lie from those measured
 */
export function predictForm(
  { definition }: DefinedStudy,
  form: FreeForm,
  settings: readonly Settings[],
): readonly BeadPrediction[] {
  const base = regressionBehind(form);
  const scale = responseScale(base.fitScale, form.unit);
  const onBase = predictRegression({ definition }, base, settings);
  const scaled = form.form === "gaussian-process" ? withDeparture(form, settings, onBase) : onBase;
  const back = ({ lower, upper }: Ends): Ends => ({ lower: scale.back(lower), upper: scale.back(upper) });
  return scaled.map(({ middle, confidence, prediction, scatter, extrapolation }) => ({
    response: form.response,
    unit: form.unit,
    estimate: scale.back(middle),
    mean: averageOnScale(scale, middle, scatter),
    confidence: back(confidence),
    prediction: back(prediction),
    extrapolation,
  }));
}

function predictRegression(
  { definition }: DefinedStudy,
  form: RegressionFit,
  settings: readonly Settings[],
): readonly ScaledPrediction[] {
  const { model, row } = formModel({ definition }, form);
  const rows = settings.map(row);
  const { fit, random, level } = form;
  const ofBlocks =
    random &&
    predictRandomBlock(
      random,
      rows.map((x) => shiftedRow(random, { model, fit }, x)),
      level,
    );
  return predict({ fit, model, x: rows, level }).map((p, i) => {
    const extrapolation = p.extrapolation || !p.estimable || outsideRanges(form, settings[i]!);
    if (random !== undefined && ofBlocks !== undefined) {
      const { mean: middle, standardError, confidence, prediction } = ofBlocks[i]!;
      return { middle, standardError, confidence, prediction, scatter: totalSd(random), extrapolation };
    }
    const { mean: middle, standardError, confidence, prediction } = p;
    return { middle, standardError, confidence, prediction, scatter: fit.residualSd, extrapolation };
  });
}

/** Energy and area may be usual where no setting is: a form in them must look at the settings too. */
function outsideRanges(form: RegressionFit, settings: Settings): boolean {
  return (form.ranges ?? []).some(({ factor, low, high }) => {
    const value = Number(ownValue(settings, factor));
    return value < low || value > high;
  });
}

/** Adds the departure; its uncertainty and that of the base's coefficients add as if independent, which is cautious. */
function withDeparture(
  form: ProcessFit,
  settings: readonly Settings[],
  base: readonly ScaledPrediction[],
): readonly ScaledPrediction[] {
  const { mean, sd, measurementSd } = predictGaussianProcess(
    form.process,
    processPoints(form.axes, settings),
    base.map(({ middle }) => middle),
  );
  const scatter = Math.sqrt(form.process.noiseVariance);
  return base.map(({ standardError, extrapolation }, i) => {
    const ofMean = Math.hypot(standardError, sd[i]!);
    const middle = mean[i]!;
    return {
      middle,
      standardError: ofMean,
      confidence: about({ middle, sd: ofMean, df: form.df, level: form.level }),
      prediction: about({
        middle,
        sd: Math.hypot(standardError, measurementSd[i]!),
        df: form.df,
        level: form.level,
      }),
      scatter,
      extrapolation,
    };
  });
}
