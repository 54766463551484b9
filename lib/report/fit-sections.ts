import {
  drawExponents,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
} from "../charts/index.js";
import { grouped } from "../errors/index.js";
import {
  errorText,
  formTitle,
  type GradeFit,
  isPerHalfRange,
  type ResponseFit,
  regressionBehind,
  type StudyFit,
} from "../models/index.js";
import { counted, fixed, inWords, percent, sentence } from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import { fitBasis } from "./basis.js";
import type { ReportChart, ReportSection, ReportTable } from "./document.js";
import type { StudyResults } from "./results.js";
import { settingCell } from "./words.js";

/** How every measured response answers to the settings: forms compared, then charts per response. */
export function fitSections({ study, window }: StudyResults, fit: StudyFit): readonly ReportSection[] {
  const { definition, coupons } = study;
  const at = Object.fromEntries(
    window === undefined
      ? definition.factors.map(({ name, low, high, levels, kind }) => [
          name,
          kind === "category" ? String(levels?.[0]) : (low + high) / 2,
        ])
      : window.best.settings.map(({ factor, value }) => [factor, value]),
  );
  return [
    {
      key: "fit",
      heading: "How the bead answers",
      basis:
        "Forms are judged by the error on coupons left out, whole settings or days at a time; scatter is that of one coupon about the form. Errors in per cent are relative.",
      paragraphs: explanations(fit),
      findings: fit.findings,
      tables: [...fit.responses.map(formsTable), ...(fit.graded ?? []).map(gradesTable)],
    },
    ...fit.responses.map((response): ReportSection => {
      const { response: name, chosen, forms } = response;
      const charts: ReportChart[] = [
        {
          spec: drawResponse({ definition, coupons }, fit, { response: name, at }),
          caption:
            "Against each setting, the others held; inner band for the mean, outer for the next coupon. Coupons differ in the other settings too.",
        },
        { spec: drawPredicted({ definition, coupons }, fit, name), caption: "Measured against predicted." },
        { spec: drawResiduals({ coupons }, fit, name), caption: "Residuals in run order." },
        {
          spec: drawNormalQuantiles({ coupons }, fit, name),
          caption: "Residuals against a normal distribution.",
        },
      ];
      const jointWidth = chosen === "constrained" && fit.constrained.some((c) => c.width.response === name);
      const hasExponents = forms.length > 0 || jointWidth;
      return {
        key: `fit-${name.replaceAll("_", "-")}`,
        heading: sentence(inWords(name)),
        basis: fitBasis(fit, name),
        charts: hasExponents
          ? [
              {
                spec: drawExponents(fit, name),
                caption: exponentCaption(response),
              },
              ...charts,
            ]
          : charts,
      };
    }),
  ];
}

/** What the drawn coefficients of a response are: of the form chosen, or of the one it departs from. */
function exponentCaption({ chosen, forms }: ResponseFit): string {
  const own = forms.find(({ form }) => form === chosen);
  return own !== undefined && isPerHalfRange(regressionBehind(own).form)
    ? "Change from the middle of a setting's range to its end; products and squares bend it."
    : "A setting doubled multiplies the result by 2 to this power.";
}

/** Why each form was chosen, and what predicts; responses of which the same is said share a paragraph. */
function explanations({ responses }: StudyFit): readonly string[] {
  const told = responses.flatMap(({ response, explanation, forecastExplanation }) =>
    [explanation, forecastExplanation].map((said) => ({ said, name: inWords(response) })),
  );
  return [...grouped(told, ({ said }) => said)].map(
    ([said, group]) => `${sentence(group.map(({ name }) => name).join(" and "))}: ${said}.`,
  );
}

/** Chance of each grade in the middle of the settings and at their ends. */
function gradesTable({ response, grades, chances, coupons }: GradeFit): ReportTable {
  return {
    caption: `${sentence(inWords(response))}: chance of each grade, by an ordered logit of ${counted(coupons.length, "coupon")}`,
    columns: [
      { heading: "Settings" },
      ...grades.map((grade) => ({ heading: `Grade ${grade}`, numeric: true })),
    ],
    rows: chances.map(({ at, chances: row }) => [
      at === undefined
        ? "all in the middle"
        : `${inWords(at.factor)} ${withUnit(settingCell(at.value), at.unit)}`,
      ...row.map((chance) => percent(chance)),
    ]),
  };
}

/** Every form tried on a response, with its figures or the reason why it was not fitted. */
function formsTable({ response, chosen, candidates }: ResponseFit): ReportTable {
  return {
    caption: `${sentence(inWords(response))}: forms compared by the error on coupons left out`,
    columns: [
      { heading: "Form" },
      { heading: "Coefficients", numeric: true },
      { heading: "Scatter", numeric: true },
      { heading: "Left-out error", numeric: true },
      { heading: "AICc", numeric: true },
      { heading: "Remark" },
    ],
    rows: candidates.map((c) => [
      formTitle(c.form),
      c.parameters === undefined ? "" : String(c.parameters),
      c.scatter === undefined ? "" : errorText(c.scatter, c.errorUnit!),
      c.leftOutError === undefined ? "" : errorText(c.leftOutError, c.errorUnit!),
      c.aicc === undefined ? "" : fixed(c.aicc, 1),
      c.reason ??
        [c.form === chosen ? "chosen" : "", c.detail ?? ""].filter((text) => text !== "").join("; "),
    ]),
  };
}
