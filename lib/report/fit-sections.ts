import {
  drawExponents,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
} from "../charts/index.js";
import { errorText, type FormName, formTitle, type StudyFit } from "../models/index.js";
import type { ReportChart, ReportSection, ReportTable } from "./document.js";
import type { StudyResults } from "./results.js";
import { cell, words } from "./words.js";

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
      heading: "How the bead answers",
      paragraphs: fit.responses.map(
        ({ response, explanation }) => `${sentenceCase(words(response))}: ${explanation}.`,
      ),
      findings: fit.findings,
      tables: [formsTable(fit)],
    },
    ...fit.responses.map(({ response: name, chosen, forms }): ReportSection => {
      const charts: ReportChart[] = [
        {
          spec: drawResponse(definition, coupons, fit, name, at),
          caption:
            "Against each setting, the others held; inner band for the mean, outer for the next coupon. Coupons differ in the other settings too.",
        },
        { spec: drawPredicted(definition, coupons, fit, name), caption: "Measured against predicted." },
        { spec: drawResiduals(coupons, fit, name), caption: "Residuals in run order." },
        {
          spec: drawNormalQuantiles(coupons, fit, name),
          caption: "Residuals against a normal distribution.",
        },
      ];
      const jointWidth = chosen === "constrained" && fit.constrained.some((c) => c.width.response === name);
      const hasExponents = forms.length > 0 || jointWidth;
      return {
        heading: sentenceCase(words(name)),
        charts: hasExponents
          ? [
              {
                spec: drawExponents(fit, name),
                caption: exponentCaption(chosen),
              },
              ...charts,
            ]
          : charts,
      };
    }),
  ];
}

const sentenceCase = (text: string): string => text.replace(/^./, (letter) => letter.toUpperCase());

function exponentCaption(chosen: FormName): string {
  return chosen === "linear" || chosen === "quadratic"
    ? "Change from the middle of a setting's range to its end; products and squares bend it."
    : "A setting doubled multiplies the result by 2 to this power.";
}

/** Every form tried on every response, with its figures or the reason why it was not fitted. */
function formsTable(fit: StudyFit): ReportTable {
  return {
    caption: "Forms compared by the error on coupons left out",
    columns: [
      { heading: "Result" },
      { heading: "Form" },
      { heading: "Coefficients", numeric: true },
      { heading: "Scatter of a coupon", numeric: true },
      { heading: "Leave-one-out error", numeric: true },
      { heading: "AICc", numeric: true },
      { heading: "Remark" },
    ],
    rows: fit.responses.flatMap(({ response, chosen, candidates }) =>
      candidates.map((c) => [
        words(response),
        formTitle(c.form),
        cell(c.parameters),
        c.scatter === undefined ? "" : errorText(c.scatter, c.errorUnit!),
        c.leaveOneOutError === undefined ? "" : errorText(c.leaveOneOutError, c.errorUnit!),
        c.aicc === undefined ? "" : c.aicc.toFixed(1),
        c.reason ??
          [...(c.form === chosen ? ["chosen"] : []), ...(c.detail === undefined ? [] : [c.detail])].join(
            "; ",
          ),
      ]),
    ),
  };
}
