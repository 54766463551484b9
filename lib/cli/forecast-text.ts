import type { BuildForecast } from "../endurance/index.js";
import { inWords, percent, significant } from "../numeric/figures/index.js";
import { counted } from "../numeric/index.js";
import {
  assumptionRows,
  causeHeadings,
  causeRows,
  chanceBasis,
  chanceText,
  hoursText,
  limitRows,
  needsOf,
  USUAL_ORIGIN,
} from "../report/index.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** A forecast as text for a terminal. */
export function forecastText(forecast: BuildForecast, cautions: readonly string[]): string {
  const { risks, improvements, plan, findings } = forecast;
  return [
    `Forecast for ${plan.study}: ${plan.outline.layers.length} layers, ${significant(plan.outline.layers.reduce((sum, { path }) => sum + path, 0) / 1000)} m of bead\n\n`,
    `${wrap(`Chance to finish: ${chanceText(risks)}, from ${counted(risks.tried.length, "build")} logged`)}\n\n`,
    ...needsOf(forecast).map(([label, text]) => `${label.padEnd(12)} ${wrap(text, " ".repeat(13))}\n`),
    `\nLimits\n${limitRows(forecast)
      .map(
        ([what, state, text]) => `  ${what.padEnd(14)} ${state.padEnd(10)} ${wrap(text, " ".repeat(28))}\n`,
      )
      .join("")}`,
    `\nWhere the risk sits\n${textTable(
      causeHeadings.map(({ heading, numeric }) => ({
        title: heading,
        align: numeric === true ? "right" : "left",
      })),
      causeRows(risks),
    )}`,
    improvements.length === 0
      ? ""
      : `\nWhat one change would buy\n${improvements
          .slice(0, 6)
          .map(
            ({ what, chance, from, timeSaved }) =>
              `  ${inWords(what)}: ${chance > from + 0.005 ? `chance ${percent(from)} to ${percent(chance)}, ` : ""}${hoursText(timeSaved)} saved\n`,
          )
          .join("")}`,
    `\nAssumed, ${USUAL_ORIGIN} where no origin is named (replace any with --assume name=quantity)\n${textTable(
      [{ title: "assumption" }, { title: "value", align: "right" }, { title: "what" }],
      assumptionRows(plan),
    )}`,
    `\nHow the chance is made\n${chanceBasis(risks)
      .map((text) => `- ${wrap(text, "  ")}\n`)
      .join("")}`,
    findingsBelow(findings),
    `\n${cautions.map((text) => `- ${wrap(text, "  ")}\n`).join("")}`,
  ].join("");
}
