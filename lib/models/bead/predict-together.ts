import { ownValue } from "../../errors/index.js";
import { tQuantile } from "../../numeric/index.js";
import { blendedDf, predictBlended } from "../../regression/index.js";
import type { Settings } from "../settings/index.js";
import { blendPoints } from "./blend-columns.js";
import type { FormName } from "./form-rules.js";
import type { BeadPrediction } from "./predict-form.js";
import { averageOnScale, responseScale } from "./response-scale.js";
import { averaged, type TogetherFit } from "./together.js";

/**
 * Predicts a response by all forms together. Variances of the blended surface and between the forms add, widened as the
 * errors at left-out settings ask.
 *
 * @param byForm - what a single form that has a say predicts at the settings
 */
export function predictTogether(
  fit: TogetherFit,
  settings: readonly Settings[],
  byForm: (form: FormName) => readonly BeadPrediction[],
): readonly BeadPrediction[] {
  const { response, unit, says, level, widening, axes, blended } = fit;
  const scale = responseScale(fit.scale, unit);
  const reach = tQuantile(0.5 + level / 2, blendedDf(blended)) * widening;
  const own = predictBlended(blended, blendPoints(axes, settings));
  const others = says.map(({ form }) => (form === "blended" ? undefined : byForm(form)));
  return settings.map((setting, i) => {
    const { mean, sd, nextSd } = own[i]!;
    const said = others.map((list) => {
      const value = list === undefined ? mean : scale.forward(list[i]!.estimate);
      // A form with the same scatter everywhere may foresee less than nothing far out: the blended surface speaks alone.
      return Number.isFinite(value) ? value : mean;
    });
    const { middle, between } = averaged(
      said,
      says.map(({ weight }) => weight),
    );
    const ends = (spread: number) => {
      const half = reach * Math.hypot(spread, Math.sqrt(between));
      return { lower: scale.back(middle - half), upper: scale.back(middle + half) };
    };
    return {
      response,
      unit,
      estimate: scale.back(middle),
      mean: averageOnScale(scale, middle, Math.sqrt(Math.max(0, nextSd ** 2 - sd ** 2))),
      confidence: ends(sd),
      prediction: ends(nextSd),
      extrapolation:
        outside(fit, setting) || others.some((list) => list !== undefined && list[i]!.extrapolation),
    };
  });
}

function outside({ axes: { axes } }: TogetherFit, setting: Settings): boolean {
  return axes.some(({ name, category, low, high }) => {
    const value = Number(ownValue(setting, name));
    const slack = 1e-9 * (high - low);
    return !category && (value < low - slack || value > high + slack);
  });
}
