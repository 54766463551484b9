import { chartStandoff, drawBuildTimeline } from "../charts/index.js";
import type { BuildForecast } from "../endurance/index.js";
import { onlyDefined } from "../errors/index.js";
import { counted, inWords, percent, significant } from "../numeric/index.js";
import {
  assumptionRows,
  causeHeadings,
  causeRows,
  chanceText,
  hoursText,
  limitHeadings,
  limitRows,
  needsOf,
  USUAL_ORIGIN,
} from "./build-words.js";
import { chanceBasis } from "./chance-basis.js";
import type { KeyFigure, ReportDocument } from "./document.js";

/** The caution that comes first of all: a forecast is no reason to walk away. */
export const ATTENDED =
  "Someone who can stop the arc stays with the build from the first strike to the last. A chance is no permission: local codes and licensed practice decide what may run, and how.";

/** A forecast as one page. */
export function buildPage(forecast: BuildForecast, cautions: readonly string[]): ReportDocument {
  const { plan, risks, supplies, improvements, findings } = forecast;
  const lengths = plan.outline.layers.reduce((sum, { path }) => sum + path, 0);
  return {
    title: `Build forecast: ${inWords(plan.study)}`,
    subtitle: `${plan.outline.layers.length} layers, ${significant(lengths / 1000)} m of bead, made ${plan.made.slice(0, 10)}`,
    cautions: [ATTENDED, ...cautions],
    onePaper: "dense",
    sections: [
      {
        heading: "In short",
        keyFigures: keyFigures(forecast),
        paragraphs: [
          `The chance to finish is ${chanceText(risks)}, from ${counted(risks.tried.length, "build")} of this rig.`,
        ],
        findings,
      },
      {
        heading: "What it needs",
        tables: [
          {
            caption: "Time, wire, gas and wear",
            columns: [{ heading: "What" }, { heading: "How much" }],
            rows: needsOf(forecast).map((row) => [...row]),
          },
          {
            caption: "Limits",
            columns: limitHeadings.map((heading) => ({ heading })),
            rows: limitRows(forecast),
          },
        ],
        charts: [
          {
            spec: drawBuildTimeline(forecast),
            caption: "Layers against the clock; changes stand where they fall due.",
          },
        ],
      },
      {
        heading: "Where the risk sits",
        tables: [
          {
            caption: "Causes seen so far",
            columns: causeHeadings,
            rows: causeRows(risks),
          },
          ...(improvements.length === 0
            ? []
            : [
                {
                  caption: "What one change would buy",
                  columns: [
                    { heading: "Change" },
                    { heading: "Chance to finish", numeric: true },
                    { heading: "Time saved", numeric: true },
                  ],
                  rows: improvements
                    .slice(0, 5)
                    .map(({ what, chance, timeSaved }) => [
                      inWords(what),
                      risks.tried.length === 0 ? "" : percent(chance),
                      hoursText(timeSaved),
                    ]),
                },
              ]),
        ],
        charts: chartsOf(forecast),
      },
      {
        heading: "What this rests on",
        tables: [
          {
            caption: `Assumptions, ${USUAL_ORIGIN} where no origin is named; replace any with --assume`,
            columns: [{ heading: "Assumption" }, { heading: "Value", numeric: true }, { heading: "What" }],
            rows: assumptionRows(plan),
          },
        ],
        paragraphs: [...chanceBasis(risks), changesText(forecast)],
      },
    ],
    provenance: [`${supplies.layers.length} layers added up one by one; made ${plan.made}.`],
  };
}

function keyFigures({ risks, time, supplies, plan }: BuildForecast): readonly KeyFigure[] {
  const { gas_flow: flow, wire_feed_speed: feed } = plan.build.setting;
  return [
    {
      label: "Chance to finish",
      value: risks.tried.length === 0 ? "not known" : percent(risks.chance.predictive),
      note:
        risks.tried.length === 0
          ? "no build logged yet"
          : `${percent(risks.chance.atLeast)} to ${percent(risks.chance.atMost)}`,
    },
    { label: "Time", value: hoursText(time.expected), note: `arc ${hoursText(supplies.arcTime)}` },
    {
      label: "Gas",
      ...(flow === undefined
        ? { value: "not known", note: "no gas flow told" }
        : {
            value: `${significant(supplies.gas / 1000)} m3`,
            note: counted(supplies.cylinders, "change of cylinder", "changes of cylinder"),
          }),
    },
    {
      label: "Wire",
      ...(feed === undefined
        ? { value: "not known", note: "no wire feed told" }
        : { value: `${significant(supplies.wireMass)} kg`, note: `${significant(supplies.wire)} m` }),
    },
  ];
}

function chartsOf({ risks, plan }: BuildForecast) {
  return plan.standoff.length === 0
    ? []
    : [
        {
          spec: chartStandoff({
            name: "stand-off",
            level: 0.9,
            touch: risks.touch.at,
            ...onlyDefined({ tooLong: plan.held?.tooLong }),
            forecast: plan.standoff,
          }),
          caption: "Stand-off planned, layer by layer, with its 90 % band.",
        },
      ];
}

function changesText({ supplies }: BuildForecast): string {
  const changes = supplies.layers.filter((layer) => layer.changes.length > 0);
  if (changes.length === 0) return "Nothing has to be changed within the build, as far as this is known.";
  const shown = changes.slice(0, 12).map((layer) => `${layer.changes.join(" and ")} by layer ${layer.layer}`);
  return `Changes on the way, each at the end of the layer before: ${shown.join(", ")}${changes.length > 12 ? " ..." : ""}.`;
}
