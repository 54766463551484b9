import { BeadbenchError } from "../../errors/index.js";
import type { DefinedStudy } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import type { ResponseFit, StudyFit } from "./fit-study.js";
import type { FormQuality } from "./form.js";
import type { FormName } from "./form-rules.js";
import { predictConstrained } from "./predict-constrained.js";
import { type BeadPrediction, type FreeForm, predictForm } from "./predict-form.js";
import { predictTogether } from "./predict-together.js";
import type { TogetherFit } from "./together.js";

/** A form of a response: by itself, or as one size of a constrained fit. */
type Named =
  | { readonly free: FreeForm }
  | { readonly joint: ConstrainedFit; readonly size: "width" | "height" };

function responseOf(fit: StudyFit, response: string): ResponseFit {
  const own = fit.responses.find((candidate) => candidate.response === response);
  if (own !== undefined) return own;
  throw new BeadbenchError(
    "bad-argument",
    `no model of "${response}" in this fit; there is one of ${fit.responses.map((r) => r.response).join(", ")}`,
  );
}

function named(fit: StudyFit, { response, forms }: ResponseFit, name: FormName): Named {
  const free = forms.find(({ form }) => form === name);
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
  const own = responseOf(fit, response);
  const chosen = named(fit, own, own.chosen);
  return "free" in chosen ? chosen.free : chosen.joint[chosen.size];
}

/** All forms together, where they foresee a response; undefined where its chosen form does. */
export const foreseeingTogether = ({ foreseenBy, together }: ResponseFit): TogetherFit | undefined =>
  foreseenBy === "together" ? together : undefined;

/**
 * Predicts every fitted response at settings: by all forms together, or by the chosen form where that foresees better.
 *
 * @returns one list per setting, in the order of the fit's responses
 */
export function predictBead(
  { definition }: DefinedStudy,
  fit: StudyFit,
  settings: readonly Settings[],
): readonly (readonly BeadPrediction[])[] {
  const columns = fit.responses.map((own) => {
    const byForm = (name: FormName): readonly BeadPrediction[] => {
      const form = named(fit, own, name);
      return "free" in form
        ? predictForm({ definition }, form.free, settings)
        : predictConstrained({ definition }, { joint: form.joint, size: form.size, settings });
    };
    const together = foreseeingTogether(own);
    return together === undefined ? byForm(own.chosen) : predictTogether(together, settings, byForm);
  });
  return settings.map((_, i) => columns.map((column) => column[i]!));
}
