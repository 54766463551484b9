import { errorText, type ResponseFit, type StudyFit } from "../models/index.js";
import { inWords, percent } from "../numeric/index.js";
import type { DefinedStudy } from "../study/index.js";
import { type Foretold, settlesText, wantedSizes } from "./settles-text.js";
import { wrap } from "./text.js";

/** What a fit says of each response, in plain words. */
export function plainResponses({ definition }: DefinedStudy, fit: StudyFit): string {
  const wanted = wantedSizes(definition);
  const said = fit.responses.map((response) => {
    const asked = wanted.find((one) => one.response === response.response);
    const lead =
      asked === undefined ? foretoldText(response) : settlesText(asked, foretold(response, asked.aim));
    const effects = effectsText(response, fit);
    return `${wrap(lead, "  ")}\n${effects === "" ? "" : `  ${wrap(effects, "  ")}\n`}`;
  });
  return said.join("");
}

/** Error at settings not tried and scatter of a response, in its unit; relative ones hold at `at`. */
function foretold(
  { response, foreseenBy, together, forms, candidates, chosen }: ResponseFit,
  at: number,
): Foretold {
  const form = candidates.find((candidate) => candidate.form === chosen)!;
  const quality = foreseenBy === "together" ? together! : form;
  const size = form.errorUnit === "1" ? at : 1;
  const scatter = form.scatter ?? forms[0]!.scatter;
  return { response, error: size * (quality.leftOutError ?? scatter), scatter: size * scatter };
}

function foretoldText(fit: ResponseFit): string {
  const { error } = foretold(fit, 1);
  const unit = fit.candidates.find(({ form }) => form === fit.chosen)!.errorUnit!;
  return `${fit.response}: a bead at a setting not tried is foretold with an error of ${errorText(error, unit)}.`;
}

/** What ten per cent more of each setting do, where the form has exponents. */
function effectsText({ response, chosen, forms }: ResponseFit, { constrained }: StudyFit): string {
  const form = forms.find((one) => one.form === chosen);
  const joint = constrained.find(({ width }) => width.response === response);
  const exponents =
    chosen === "constrained" ? joint?.exponents : form?.form === "power-law" ? form.coefficients : undefined;
  const told = (exponents ?? []).flatMap(({ term, estimate, lower, upper }) => {
    if (lower <= 0 && upper >= 0) return [];
    const change = 1.1 ** estimate - 1;
    return [`${inWords(term)} ${percent(Math.abs(change), 1)} ${change > 0 ? "more" : "less"}`];
  });
  return told.length === 0 ? "" : `10 % more of a setting gives, others held: ${told.join(", ")}.`;
}
