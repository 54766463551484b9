import { mean, percent, standardDeviation } from "../../numeric/index.js";
import { type FormQuality, squaresBySetting } from "./form.js";
import { type FormName, formTitle } from "./form-rules.js";
import { errorTexts } from "./response-scale.js";
import type { TogetherFit } from "./together.js";

/** How a response is predicted, and why. */
export interface Forecast {
  /** All forms together, where the settings are enough for it. */
  readonly together?: TogetherFit;
  /** What predictions rest on: all forms together, or the chosen form. */
  readonly foreseenBy: "together" | "chosen";
  /** Why, with the numbers. */
  readonly forecastExplanation: string;
}

/** A forecaster's word on coupons that it had not seen, on the response's scale. */
export type LeftOutCoupons = Pick<FormQuality, "scale" | "coupons">;

/** Standard errors by which the chosen form must be better: it was picked for its errors, which flatters it. */
const CLEARLY = 2;

/**
 * Lets all forms together predict, unless the chosen form errs less at left-out settings by more than two standard errors
 * of the difference.
 */
export function chooseForecast(chosen: FormQuality, together: TogetherFit | undefined): Forecast {
  const title = formTitle(chosen.form);
  if (together === undefined) {
    return {
      foreseenBy: "chosen",
      forecastExplanation: `predicted by the ${title}: too few settings to average forms`,
    };
  }
  const other = chosen.leftOutError;
  const [ofTogether, ofOther] = errorTexts(
    [together.leftOutError, ...(other === undefined ? [] : [other])],
    together.errorUnit,
  );
  const said = `${sayText(together)} err ${ofTogether} at left-out settings`;
  const held = `their intervals held ${percent(together.covered)} of the coupons there`;
  const alone = other === undefined ? "" : `, the ${title} alone ${ofOther}`;
  if (other !== undefined && errsClearlyLess(chosen, together)) {
    return {
      together,
      foreseenBy: "chosen",
      forecastExplanation: `predicted by the ${title}, which foresees left-out settings better by more than two standard errors (${said}${alone})`,
    };
  }
  return {
    together,
    foreseenBy: "together",
    forecastExplanation: `predicted by all forms together: ${said}${alone}${
      other !== undefined && other < together.leftOutError ? ", which may be chance" : ""
    }; ${held}`,
  };
}

/**
 * Whether one forecaster of a response errs less than another at the same left-out settings, by more than two standard
 * errors of the difference.
 */
export function errsClearlyLess(one: LeftOutCoupons, other: LeftOutCoupons): boolean {
  const own = squaresBySetting(one);
  // Both number the settings of the same coupons in the same order, but for a constrained form's own coupons.
  if (one.coupons.length !== other.coupons.length) return false;
  const differences = [...squaresBySetting(other)].flatMap(([setting, square]) =>
    own.has(setting) ? [square - own.get(setting)!] : [],
  );
  if (differences.length < 3) return false;
  return mean(differences) > (CLEARLY * standardDeviation(differences)) / Math.sqrt(differences.length);
}

/** Who has a say, and how much. */
function sayText({ says }: TogetherFit): string {
  const word = (form: FormName | "blended"): string =>
    form === "blended" ? "blended surface" : formTitle(form);
  return [...says]
    .sort((a, b) => b.weight - a.weight)
    .map(({ form, weight }) => `${word(form)} ${percent(weight)}`)
    .join(", ");
}
