import { BeadbenchError } from "../../errors/index.js";
import type { DefinedStudy } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import type { StudyFit } from "./fit-study.js";
import type { FormQuality } from "./form.js";
import { predictConstrained } from "./predict-constrained.js";
import { type BeadPrediction, type FreeForm, predictForm } from "./predict-form.js";

/** The form chosen for a response: by itself, or as one size of a constrained fit. */
type Chosen =
  | { readonly free: FreeForm }
  | { readonly joint: ConstrainedFit; readonly size: "width" | "height" };

function chosenOf(fit: StudyFit, response: string): Chosen {
  const own = fit.responses.find((candidate) => candidate.response === response);
  if (own === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `no model of "${response}" in this fit; there is one of ${fit.responses.map((r) => r.response).join(", ")}`,
    );
  }
  const free = own.forms.find(({ form }) => form === own.chosen);
  if (free !== undefined) return { free };
  const joint = fit.constrained.find((c) => [c.width.response, c.height.response].includes(response))!;
  return { joint, size: joint.width.response === response ? "width" : "height" };
}

/**
 * How the form chosen for a response does, coupon by coupon.
 *
 * @throws {BeadbenchError} `bad-argument` for a response the fit has no model of
 */
export function chosenQuality(fit: StudyFit, response: string): FormQuality {
  const chosen = chosenOf(fit, response);
  return "free" in chosen ? chosen.free : chosen.joint[chosen.size];
}

/**
 * Predicts every fitted response at settings, each with the form the fit chose.
 *
 * @returns one list per setting, in the order of the fit's responses
 */
export function predictBead(
  { definition }: DefinedStudy,
  fit: StudyFit,
  settings: readonly Settings[],
): readonly (readonly BeadPrediction[])[] {
  const columns = fit.responses.map(({ response }) => {
    const chosen = chosenOf(fit, response);
    return "free" in chosen
      ? predictForm({ definition }, chosen.free, settings)
      : predictConstrained({ definition }, chosen.joint, chosen.size, settings);
  });
  return settings.map((_, i) => columns.map((column) => column[i]!));
}
