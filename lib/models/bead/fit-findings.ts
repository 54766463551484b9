import type { Finding } from "../../errors/index.js";
import { fRatioText, significant } from "../../numeric/index.js";
import { shiftFindings, shiftsUnseen } from "./block-shifts.js";
import type { ChosenForm } from "./choose-all.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import type { TriedForms } from "./fit-response.js";
import { DEFAULT_LEVEL } from "./form.js";
import type { FreeForm } from "./predict-form.js";

/** What the chosen form says of itself, beyond what the values already said. */
export function chosenFindings(
  { response, chosen, forms }: ChosenForm,
  tried: readonly TriedForms[],
  constrained: readonly ConstrainedFit[],
): readonly Finding[] {
  const form = forms.find((candidate) => candidate.form === chosen);
  if (form === undefined) {
    const joint = constrained
      .flatMap(({ width, height }) => [width, height])
      .find((size) => size.response === response);
    return shiftFindings({ response, shift: joint?.shift, unit: "1", level: joint?.level ?? DEFAULT_LEVEL });
  }
  const data = tried.find((candidate) => candidate.response === response)?.data;
  const known = data?.findings ?? [];
  return [
    ...form.findings.filter((finding) => !known.includes(finding)),
    ...shiftFindings({ response, shift: form.shift, unit: form.errorUnit, level: form.level }),
    ...shiftsUnseen(data?.blocks, form.shift !== undefined),
    ...lackOfFitFindings(form),
  ];
}

function lackOfFitFindings(form: FreeForm): readonly Finding[] {
  if (form.form === "gaussian-process") return [];
  const { response, lackOfFit } = form;
  if (lackOfFit === undefined || lackOfFit.p >= 0.05) return [];
  return [
    {
      code: "lack-of-fit",
      severity: "warning",
      message: `${response}: the chosen form misses the means of repeated settings by more than their scatter explains (F ${fRatioText(lackOfFit.f)}, p = ${significant(lackOfFit.p, 2)})`,
      advice:
        "the response acts otherwise than the form can, or something drifted between sessions; look at the residuals by session and narrow the window",
      about: [response],
    },
  ];
}
