import { counted, percent } from "../numeric/index.js";
import { type ChartSpec, chart, inline, measure } from "./spec.js";
import { colours } from "./theme.js";

/** What {@link chartLearning} draws. A learning curve of a study is one. */
export interface LearningChartData {
  readonly steps: readonly {
    readonly coupons: number;
    /** Best known chance then, and the range it was known to lie in, between 0 and 1. */
    readonly chance: number;
    readonly interval: readonly [lower: number, upper: number];
  }[];
}

/**
 * The best known chance to conform against the number of coupons it rested on, with what was known about it. The curve is
 * what would have been claimed after so many coupons: it may fall where an early claim was too high.
 *
 * @throws {BeadbenchError} `bad-argument` without a step or when a number is not finite
 */
export function chartLearning({ steps }: LearningChartData): ChartSpec {
  const rows = steps.map(({ coupons, chance, interval: [low, high] }) => ({ coupons, chance, low, high }));
  const data = inline("chartLearning", "steps", rows);
  const last = rows.at(-1)!;
  const x = measure("coupons", "Coupons run", {
    axis: { tickMinStep: 1, format: "d" },
    scale: {
      domain: [Math.min(...rows.map(({ coupons }) => coupons)), Math.max(last.coupons, 1)],
      nice: false,
      padding: 8,
    },
  });
  const y = (field: string) =>
    measure(field, "Best chance to conform", {
      scale: { domain: [0, 1] },
      axis: { format: ".0%", tickCount: 5 },
    });
  return chart({
    description:
      `Best known chance to conform against coupons run: ` +
      `${rows.map(({ coupons, chance }) => `${percent(chance)} after ${counted(coupons, "coupon")}`).join(", ")}; ` +
      `now known to lie between ${percent(last.low)} and ${percent(last.high)}.`,
    title: "What the coupons taught",
    subtitle: ["Line: best chance known after so many coupons. Bars: where it was known to lie (90 %)."],
    body: {
      width: 480,
      height: 240,
      layer: [
        {
          data,
          mark: { type: "area", color: colours.model.light, opacity: 0.16 },
          encoding: { x, y: y("low"), y2: { field: "high" } },
        },
        {
          data,
          mark: { type: "rule", color: colours.model.light, strokeWidth: 1.5 },
          encoding: { x, y: y("low"), y2: { field: "high" } },
        },
        { data, mark: { type: "line", color: colours.measured.light }, encoding: { x, y: y("chance") } },
        { data, mark: { type: "point", color: colours.measured.light }, encoding: { x, y: y("chance") } },
      ],
    },
  });
}
