import { type FormCandidate, formCandidate } from "./candidate.js";
import { chooseFree, chooseJoint } from "./choose-form.js";
import { type ConstrainedPair, missingPartner } from "./constrained-data.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import type { TriedForms } from "./fit-response.js";
import type { FormQuality } from "./form.js";
import type { FormName } from "./form-rules.js";
import type { FreeForm } from "./predict-form.js";
import type { ScaleName } from "./response-scale.js";

/** What was tried on one response, and what was chosen. */
export interface ChosenForm {
  readonly response: string;
  readonly unit: string;
  readonly scale: ScaleName;
  readonly chosen: FormName;
  /** Why, with the numbers. */
  readonly explanation: string;
  /** Every form, fitted or not, with its figures or the reason. */
  readonly candidates: readonly FormCandidate[];
  /** The forms fitted to this response by itself. */
  readonly forms: readonly FreeForm[];
}

/** A width and height that mass balance ties, and the form of both together. */
export type TriedPair = {
  readonly pair: ConstrainedPair;
  readonly result: { readonly fit: ConstrainedFit } | { readonly failed: FormCandidate };
};

/** The chosen form of each response, in the order of the responses; a pair that only fits together comes last. */
export function chooseAll(
  responses: readonly TriedForms[],
  pairs: readonly TriedPair[],
): readonly ChosenForm[] {
  const free = new Map(responses.map((tried) => [tried.response, chooseFree(tried.forms)]));
  const fits = responses.map(({ data: _, ...tried }): ChosenForm => {
    const { chosen, explanation } = free.get(tried.response)!;
    const alone = missingPartner(
      pairs.map(({ pair }) => pair),
      tried.response,
      tried.unit,
    );
    const candidates: readonly FormCandidate[] =
      alone === undefined ? tried.candidates : [...tried.candidates, { form: "constrained", reason: alone }];
    return { ...tried, candidates, chosen: chosen.form, explanation };
  });
  return pairs.reduce(
    (list, { pair, result }) => {
      const sizes = ["width", "height"] as const;
      if ("failed" in result) {
        const names = sizes.map((size) => pair[size].response);
        return list.map((fit) =>
          names.includes(fit.response) ? { ...fit, candidates: [...fit.candidates, result.failed] } : fit,
        );
      }
      const joint = result.fit;
      const width = free.get(pair.width.response);
      const height = free.get(pair.height.response);
      const choice =
        width === undefined || height === undefined
          ? {
              chosen: "constrained" as const,
              explanation: "width and height could only be fitted together, by mass balance",
            }
          : chooseJoint(joint, { width: width.chosen, height: height.chosen });
      return sizes.reduce((all, size) => withJoint(all, joint[size], choice), list);
    },
    fits as readonly ChosenForm[],
  );
}

/** Enters the joint form and the choice about it into the fit of one response. */
function withJoint(
  fits: readonly ChosenForm[],
  quality: FormQuality,
  choice: ReturnType<typeof chooseJoint>,
): readonly ChosenForm[] {
  const { response, unit, scale } = quality;
  const own = fits.find((fit) => fit.response === response);
  const candidates = [formCandidate(quality), ...(own?.candidates ?? [])];
  const entered: ChosenForm =
    choice.chosen === "free" && own !== undefined
      ? { ...own, candidates, explanation: `${own.explanation}; ${choice.explanation}` }
      : {
          response,
          unit,
          scale,
          chosen: "constrained",
          explanation: choice.explanation,
          candidates,
          forms: own?.forms ?? [],
        };
  return own === undefined ? [...fits, entered] : fits.map((fit) => (fit === own ? entered : fit));
}
