import {
  chartControl,
  chartCoverage,
  coverageOf,
  drawGain,
  drawLearning,
  gapsText,
} from "../charts/index.js";
import { controlChart, controlSeries } from "../endurance/index.js";
import { BeadbenchError } from "../errors/index.js";
import { inWords, percent } from "../numeric/index.js";
import { settingsText } from "../study/definition/index.js";
import { keptOf, type Study } from "../study/index.js";
import type { LearningCurve } from "../window/index.js";
import { leftOutText } from "./basis.js";
import type { ReportChart, ReportSection } from "./document.js";
import type { StudyResults } from "./results.js";

/** Gaps named in the text at most. */
const GAPS = 3;

/**
 * Where coupons lie, what they taught, and whether the rig stayed as it was, by the coupons the models rest on; a part the
 * study has nothing of is left out.
 */
export function learningSections({ study, learning, without }: StudyResults): readonly ReportSection[] {
  const used = keptOf(study, without);
  const basis = leftOutText(without);
  return [coverageSection(used), ...curveSection(learning), ...controlSection(used)].map((section) => ({
    ...section,
    ...(basis === "" ? {} : { basis }),
  }));
}

function coverageSection(study: Study): ReportSection {
  const coverage = coverageOf(study);
  const gaps = gapsText(coverage.pairs, GAPS);
  return {
    heading: "Where coupons were run",
    paragraphs: gaps === "" ? [] : [gaps],
    charts: [
      {
        spec: chartCoverage(coverage),
        caption:
          "Coupons over every two settings, each range cut into thirds. A field without a coupon is not known from any.",
      },
    ],
  };
}

function curveSection(learning: LearningCurve | undefined): readonly ReportSection[] {
  if (learning === undefined || learning.steps.length < 2) return [];
  const gain = drawGain(learning);
  return [
    {
      heading: "What the coupons taught",
      charts: [
        {
          spec: drawLearning(learning),
          caption:
            "The best chance that would have been claimed after so many coupons, as the record holds them now. It falls where an early claim was too high.",
        },
        ...(gain === undefined
          ? []
          : [
              {
                spec: gain,
                caption: "What each batch was expected to add to that chance, and what it added.",
              },
            ]),
      ],
      tables: [
        {
          caption: "Best settings known after so many coupons",
          columns: [
            { heading: "Coupons", numeric: true },
            { heading: "Chance", numeric: true },
            { heading: "Known to lie in (90 %)", numeric: true },
            { heading: "Settings" },
          ],
          rows: learning.steps.map(({ coupons, chance, interval: [low, high], best }) => [
            String(coupons),
            percent(chance),
            `${percent(low)} to ${percent(high)}`,
            settingsText(best.map(({ factor, ...rest }) => ({ factor: inWords(factor), ...rest }))),
          ]),
        },
      ],
    },
  ];
}

/** Control charts of each measured response that has enough coupons at one setting. */
function controlSection(study: Study): readonly ReportSection[] {
  const charts = study.definition.responses
    .filter(({ kind }) => kind === "measured")
    .flatMap(({ name, unit }): ReportChart[] => {
      const readings = readingsOf(study, name);
      if (readings === undefined) return [];
      const control = controlChart(readings);
      return [
        {
          spec: chartControl({ quantity: { name, unit }, control }),
          caption: `${inWords(name)} of the coupons at one setting, in run order.`,
        },
      ];
    });
  return charts.length === 0 ? [] : [{ heading: "Whether the rig drifts", charts }];
}

/** What was read at one setting; undefined where that are too few coupons, or all came out alike. */
function readingsOf(study: Study, response: string) {
  try {
    const { readings } = controlSeries(study, response);
    return new Set(readings.map(({ value }) => value)).size > 1 ? readings : undefined;
  } catch (error) {
    if (error instanceof BeadbenchError) return undefined;
    throw error;
  }
}
