import { counted, inWords, sentence } from "../numeric/index.js";
import { namesBeside } from "./point-names.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  levelText,
  requireRows,
} from "./spec.js";
import { colours } from "./theme.js";
import { thinned } from "./thinned.js";

/** What {@link chartPredicted} draws. */
export interface PredictedChartData {
  readonly response: ChartQuantity;
  /** Confidence level of the prediction intervals, between 0 and 1. */
  readonly level: number;
  readonly coupons: readonly {
    readonly coupon: string;
    readonly measured: number;
    readonly predicted: number;
    /** Prediction interval for this coupon. */
    readonly low: number;
    readonly high: number;
  }[];
}

/**
 * Predicted against measured, with prediction intervals and the line on which both agree. Coupons whose
 * interval misses what was measured are marked and named.
 *
 * Flatters the model unless each prediction comes from a fit without that coupon.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no coupon or a number is not finite
 */
export function chartPredicted(data: PredictedChartData): ChartSpec {
  const { response, coupons } = data;
  const rows = coupons.map((row) => ({
    ...row,
    miss: row.measured < row.low || row.measured > row.high ? "outside its interval" : "inside its interval",
  }));
  const { drawn, said } = thinned(rows, { notable: ({ miss }) => miss === "outside its interval" });
  requireRows("chartPredicted", "coupons", rows);
  const values = inline("chartPredicted", "coupons", drawn);
  const all = coupons.flatMap((row) => [row.measured, row.predicted, row.low, row.high]);
  const domain = [Math.min(...all), Math.max(...all)] as const;
  const misses = rows.filter((row) => row.miss === "outside its interval").length;
  const channel = (field: string, title: string): ChartPart => ({
    field,
    type: "quantitative",
    title,
    scale: { domain, nice: true, zero: false },
  });
  const x = channel("measured", `Measured: ${axisTitle(response).toLowerCase()}`);
  const yTitle = `Predicted: ${axisTitle(response).toLowerCase()}`;
  // Names go away from the line, where there are fewer points.
  const names = namesBeside(
    rows
      .filter((row) => row.miss === "outside its interval")
      .map(({ coupon, measured, predicted }) => ({
        name: coupon,
        x: measured,
        y: predicted,
        side: predicted > measured ? "left" : "right",
      })),
    { x: domain, y: domain },
    { x, y: channel("predicted", yTitle) },
  );
  return chart({
    description:
      `Predicted against measured ${axisTitle(response).toLowerCase()} of ${counted(coupons.length, "coupon")}; ` +
      `${misses} outside the ${levelText(data.level)} prediction interval.`,
    title: `${sentence(inWords(response.name))}: predicted against measured`,
    subtitle: [
      `Bars: ${levelText(data.level)} prediction intervals. Dashed: prediction equals measurement.`,
      ...said,
      ...names.key,
    ],
    body: {
      width: 380,
      height: 340,
      layer: [
        {
          data: {
            values: [
              { measured: domain[0], predicted: domain[0] },
              { measured: domain[1], predicted: domain[1] },
            ],
          },
          mark: { type: "line", color: colours.muted.light, strokeWidth: 1.2, strokeDash: [5, 4] },
          encoding: { x, y: channel("predicted", yTitle) },
        },
        {
          data: values,
          mark: { type: "rule", color: colours.model.light, opacity: 0.55 },
          encoding: { x, y: channel("low", yTitle), y2: { field: "high" } },
        },
        {
          data: values,
          mark: { type: "point", size: 48 },
          encoding: {
            x,
            y: channel("predicted", yTitle),
            color: {
              field: "miss",
              type: "nominal",
              title: "Measured value",
              scale: {
                domain: ["inside its interval", "outside its interval"],
                range: [colours.measured.light, colours.alarm.light],
              },
              legend: { orient: "bottom", direction: "horizontal" },
            },
            shape: {
              field: "miss",
              type: "nominal",
              title: "Measured value",
              scale: {
                domain: ["inside its interval", "outside its interval"],
                range: ["circle", "diamond"],
              },
            },
          },
        },
        ...names.layers,
      ],
    },
  });
}
