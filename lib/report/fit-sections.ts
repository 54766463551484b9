import {
  drawExponents,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
} from "../charts/index.js";
import type { StudyFit } from "../models/index.js";
import { percent } from "../numeric/index.js";
import type { ReportChart, ReportSection, ReportTable } from "./document.js";
import type { StudyResults } from "./results.js";
import { words } from "./words.js";

/** How every measured response answers to the settings: forms compared, then charts per response. */
export function fitSections({ study, window }: StudyResults, fit: StudyFit): readonly ReportSection[] {
  const { definition, coupons } = study;
  const names = definition.responses.map(({ name }) => name);
  const fitted = names.filter(
    (name) =>
      fit.powerLaws.some(({ response }) => response === name) ||
      (fit.constrained !== undefined &&
        fit.chosen === "constrained" &&
        ["bead_width", "bead_height"].includes(name)),
  );
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
      paragraphs: [`Form for the bead: ${fit.explanation}.`],
      findings: fit.findings,
      tables: [qualityTable(fit)],
    },
    ...fitted.map((name): ReportSection => {
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
      const hasExponents = name === "bead_width" || fit.powerLaws.some(({ response }) => response === name);
      return {
        heading: words(name).replace(/^./, (letter) => letter.toUpperCase()),
        charts: hasExponents
          ? [
              {
                spec: drawExponents(fit, name),
                caption: "A setting doubled multiplies the result by 2 to this power.",
              },
              ...charts,
            ]
          : charts,
      };
    }),
  ];
}

function qualityTable(fit: StudyFit): ReportTable {
  const { constrained } = fit;
  const row = (form: string, name: string, n: number, sd: number, error: number): readonly string[] => [
    words(name),
    form,
    String(n),
    percent(sd, 1),
    percent(error, 1),
  ];
  return {
    caption: "Forms compared by the error on coupons left out",
    columns: [
      { heading: "Result" },
      { heading: "Form" },
      { heading: "Coupons", numeric: true },
      { heading: "Scatter of a coupon", numeric: true },
      { heading: "Leave-one-out error", numeric: true },
    ],
    rows: [
      ...fit.powerLaws.map((law) =>
        row("power law", law.response, law.n, law.relativeSd, law.leaveOneOutError),
      ),
      ...(constrained === undefined
        ? []
        : [
            row(
              "constrained",
              "bead_width",
              constrained.n,
              constrained.width.relativeSd,
              constrained.width.leaveOneOutError,
            ),
            row(
              "constrained",
              "bead_height",
              constrained.n,
              constrained.height.relativeSd,
              constrained.height.leaveOneOutError,
            ),
          ]),
    ],
  };
}
