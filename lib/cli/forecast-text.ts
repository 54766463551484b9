import type { BuildForecast } from "../endurance/index.js";
import { percent, significant } from "../numeric/figures/index.js";
import { causeHeadings, causeRows, chanceText, hoursText, needsOf } from "../report/index.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** A forecast as text for a terminal. */
export function forecastText(forecast: BuildForecast, cautions: readonly string[]): string {
  const { risks, costs, improvements, plan, findings } = forecast;
  const currency = costs.reduce((sum, { cost }) => sum + cost, 0);
  return [
    `Forecast for ${plan.study}: ${plan.outline.layers.length} layers, ${significant(plan.outline.layers.reduce((sum, { path }) => sum + path, 0) / 1000)} m of bead\n\n`,
    `${wrap(`Chance to finish: ${chanceText(risks)}, from ${risks.tried.length} build${risks.tried.length === 1 ? "" : "s"} logged`)}\n\n`,
    ...needsOf(forecast).map(([label, text]) => `${label.padEnd(12)} ${wrap(text, " ".repeat(13))}\n`),
    costs.length === 0
      ? ""
      : `Cost         ${significant(currency)}: ${costs.map(({ what, cost }) => `${what} ${significant(cost)}`).join(", ")}\n`,
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
              `  ${what}: ${chance > from + 0.005 ? `chance ${percent(from)} to ${percent(chance)}, ` : ""}${hoursText(timeSaved)} saved\n`,
          )
          .join("")}`,
    `\nAssumed (replace any with --assume name=quantity)\n${textTable(
      [{ title: "assumption" }, { title: "value", align: "right" }, { title: "from" }, { title: "what" }],
      Object.values(plan.assumptions).map(({ name, value, unit, origin, note }) => [
        name,
        `${significant(value)}${unit === "1" ? "" : ` ${unit}`}`,
        origin,
        note,
      ]),
    )}`,
    findingsBelow(findings),
    `\n${cautions.map((text) => `- ${wrap(text, "  ")}\n`).join("")}`,
  ].join("");
}
