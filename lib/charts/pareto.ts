import { requireThat } from "../errors/index.js";
import { brief, inWords, percent, sentence } from "../numeric/index.js";
import { type ChartSpec, chart, inline, measure } from "./spec.js";
import { colours } from "./theme.js";

/** What {@link chartPareto} draws. */
export interface ParetoChartData {
  readonly title: string;
  /** What the bars measure, with its unit: `Minutes lost`. */
  readonly measure: string;
  /** Largest first. */
  readonly bars: readonly { readonly name: string; readonly value: number; readonly note?: string }[];
}

/**
 * Bars in falling order, each with its value and the share of the whole that it and all larger ones make up.
 *
 * @throws {BeadbenchError} `bad-argument` without a bar, or for a value that is not a number of 0 or more
 */
export function chartPareto({ title, measure: what, bars }: ParetoChartData): ChartSpec {
  requireThat(bars.length > 0, "chartPareto: needs at least one bar, got none");
  requireThat(
    bars.every(({ value }) => value >= 0),
    "chartPareto: every bar must be 0 or more",
  );
  const whole = bars.reduce((sum, { value }) => sum + value, 0);
  let sum = 0;
  const rows = bars.map(({ name, value, note }) => {
    sum += value;
    const share = whole > 0 ? `${percent(sum / whole)}` : "";
    return {
      name: sentence(inWords(name)),
      value,
      label: [brief(value), note, share].filter(Boolean).join(" · "),
    };
  });
  const values = inline("chartPareto", "bars", rows);
  const y = { field: "name", type: "nominal", title: null, sort: null };
  return chart({
    description: `${title}: ${rows.map(({ name, label }) => `${name} ${label}`).join("; ")}.`,
    title,
    subtitle: ["At each bar: its value, and the share of the whole up to here."],
    body: {
      layer: [
        {
          data: values,
          mark: { type: "bar", color: colours.model.light, height: { band: 0.65 } },
          encoding: { y, x: measure("value", what, { scale: { domainMin: 0 } }) },
        },
        {
          data: values,
          mark: { type: "text", align: "left", dx: 5, color: colours.ink.light },
          encoding: { y, x: measure("value", what), text: { field: "label" } },
        },
      ],
      width: 380,
      height: { step: 30 },
    },
  });
}
