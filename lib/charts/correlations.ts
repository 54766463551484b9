import { requireNumber, requireThat } from "../errors/index.js";
import { fixed, inWords, sentence } from "../numeric/index.js";
import { type ChartSpec, chart } from "./spec.js";
import { onCells } from "./theme.js";

/** What {@link chartCorrelations} draws. */
export interface CorrelationChartData {
  readonly names: readonly string[];
  /** Square and symmetric, in the order of `names`, each between -1 and 1. */
  readonly correlations: readonly (readonly number[])[];
}

/** Blue for negative, white for none, vermillion for positive: both ends from the chart theme's set. */
const diverging = ["#0072b2", "#8fbfdd", "#f7f7f7", "#f0b48a", "#d55e00"] as const;

/**
 * Which factors moved together: correlations between settings (or between model terms) as a table of
 * coloured cells with the figures in them. A pair near -1 or 1 cannot be told apart by any model.
 *
 * Pairs only: three factors can be confounded while every pair looks harmless.
 *
 * @throws {BeadbenchError} `bad-argument` when the table is not square, or a figure is outside [-1, 1]
 */
export function chartCorrelations(data: CorrelationChartData): ChartSpec {
  const { names, correlations } = data;
  requireThat(names.length >= 2, `chartCorrelations: needs at least 2 names, got ${names.length}`);
  requireThat(
    correlations.length === names.length && correlations.every((row) => row.length === names.length),
    `chartCorrelations: needs ${names.length} rows of ${names.length} correlations, one per name`,
  );
  const labels = names.map((name) => sentence(inWords(name)));
  const cells = labels.flatMap((row, i) =>
    labels.slice(0, i).map((column, j) => ({
      row,
      column,
      r: requireNumber(`chartCorrelations: correlations[${i}][${j}]`, correlations[i]![j]!, {
        min: -1 - 1e-12,
        max: 1 + 1e-12,
      }),
    })),
  );
  const columns = labels.length - 1;
  const strongest = cells.reduce((a, b) => (Math.abs(b.r) > Math.abs(a.r) ? b : a));
  const rowAxis = {
    field: "row",
    type: "nominal",
    sort: labels,
    title: null,
    scale: { domain: labels.slice(1) },
  };
  const columnAxis = {
    field: "column",
    type: "nominal",
    sort: labels,
    title: null,
    scale: { domain: labels.slice(0, -1) },
    axis: { labelAngle: -30, labelLimit: 200 },
  };
  return chart({
    description:
      `Correlations between ${labels.length} factors; the strongest is ${fixed(strongest.r, 2)}, between ` +
      `${strongest.row.toLowerCase()} and ${strongest.column.toLowerCase()}.`,
    title: "Which factors moved together",
    subtitle: ["Correlation of each pair: 0 is independent; near -1 or 1 cannot be told apart."],
    body: {
      width: { step: 62 },
      height: { step: 38 },
      data: { values: cells },
      encoding: { x: columnAxis, y: rowAxis },
      layer: [
        {
          mark: { type: "rect", stroke: onCells.light, strokeWidth: 1 },
          encoding: {
            color: {
              field: "r",
              type: "quantitative",
              title: "Correlation",
              scale: { domain: [-1, -0.5, 0, 0.5, 1], range: diverging },
              legend: { gradientLength: 120 },
            },
          },
        },
        {
          mark: { type: "text", fontSize: Math.max(8, Math.min(12, Math.floor(62 / columns))) },
          encoding: {
            text: { field: "r", type: "quantitative", format: ".2f" },
            color: {
              condition: { test: "abs(datum.r) > 0.75", value: onCells.light },
              value: onCells.dark,
            },
          },
        },
      ],
    },
  });
}
