import { counted } from "../numeric/index.js";
import {
  axisTitle,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  levelText,
  measure,
  rowOf,
} from "./spec.js";
import { colours } from "./theme.js";

/** What {@link chartEffects} draws. */
export interface EffectsChartData {
  readonly title: string;
  /** What an effect is measured in: `{ name: "exponent", unit: "1" }` or the response per coded step. */
  readonly effect: ChartQuantity;
  /** Confidence level of the intervals, between 0 and 1. */
  readonly level: number;
  /** Drawn in the order given, first on top. */
  readonly effects: readonly {
    readonly name: string;
    readonly estimate: number;
    readonly low: number;
    readonly high: number;
  }[];
}

/**
 * Effects or coefficients as dots with interval whiskers, and a line at zero. Those whose interval
 * excludes zero are drawn in full colour.
 *
 * Only comparable along one axis when all are in the same unit: coded effects, or exponents.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no effect or a number is not finite
 */
export function chartEffects(data: EffectsChartData): ChartSpec {
  const level = levelText(data.level);
  const rows = data.effects.map((row) => ({
    ...row,
    sign: row.low > 0 || row.high < 0 ? "interval excludes zero" : "may be zero",
  }));
  const clear = rows.filter((row) => row.sign === "interval excludes zero").length;
  const order = rows.map((row) => row.name);
  const y = {
    field: "name",
    type: "nominal",
    sort: order,
    title: null,
    axis: { ticks: false, grid: true },
  };
  const title = axisTitle(data.effect);
  const color = {
    field: "sign",
    type: "nominal",
    title: null,
    scale: {
      domain: ["interval excludes zero", "may be zero"],
      range: [colours.model.light, colours.muted.light],
    },
    legend: { orient: "bottom" },
  };
  return chart({
    description: `${data.title}: ${counted(rows.length, "estimate")} with ${level} intervals; ${clear} of them differ from zero.`,
    title: data.title,
    subtitle: [`Whiskers: ${level} intervals.`],
    body: {
      width: 400,
      height: { step: rowOf(order, 26) },
      data: inline("chartEffects", "effects", rows),
      layer: [
        { data: { values: [{ low: 0 }] }, mark: { type: "rule" }, encoding: { x: measure("low", title) } },
        {
          mark: { type: "rule", strokeWidth: 2 },
          encoding: { x: measure("low", title), x2: { field: "high" }, y, color },
        },
        {
          mark: { type: "point", size: 80 },
          encoding: {
            x: measure("estimate", title),
            y,
            color,
            shape: {
              field: "sign",
              type: "nominal",
              title: null,
              scale: { domain: ["interval excludes zero", "may be zero"], range: ["circle", "square"] },
            },
          },
        },
      ],
    },
  });
}
