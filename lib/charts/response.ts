import { requireThat } from "../errors/index.js";
import { counted, inWords, sentence } from "../numeric/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  levelText,
  measure,
  requireRows,
} from "./spec.js";
import { colours } from "./theme.js";
import { thinned } from "./thinned.js";

/** The fitted response at one value of a setting, the other settings held. */
export interface ResponsePoint {
  readonly x: number;
  readonly fit: number;
  /** Interval for the mean response. */
  readonly meanLow: number;
  readonly meanHigh: number;
  /** Interval for a single further coupon. */
  readonly couponLow: number;
  readonly couponHigh: number;
}

/** One panel: the response along one setting. */
export interface ResponsePanel {
  readonly setting: ChartQuantity;
  readonly curve: readonly ResponsePoint[];
  readonly measured: readonly { readonly coupon: string; readonly x: number; readonly y: number }[];
}

/** What {@link chartResponse} draws. */
export interface ResponseChartData {
  readonly response: ChartQuantity;
  /** Confidence level of both bands, between 0 and 1. */
  readonly level: number;
  readonly panels: readonly ResponsePanel[];
  /** Default: the response against the settings. */
  readonly title?: string;
  /** What one measured row is called. Default coupon. */
  readonly row?: string;
  /** Where the other settings are held, in words, shown under the title: `others at mid-range`. */
  readonly held?: string;
}

/**
 * A response against each setting: measured coupons, fitted line, band for the mean (dark) and for a
 * single coupon (light). One panel per setting, all on the same vertical scale.
 *
 * Misleads when the coupons differ in settings that are not on the axis: then points lie off the line
 * although the fit is good; compare {@link chartPredicted}.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no panel, an empty curve or a number is not finite
 */
export function chartResponse(data: ResponseChartData): ChartSpec {
  const { response, panels, held, row = "coupon" } = data;
  const level = levelText(data.level);
  requireThat(panels.length > 0, "chartResponse: needs at least one panel, got none");
  const most = panels.reduce((a, b) => (b.measured.length > a.measured.length ? b : a));
  const coupons = most.measured.length;
  const settings = panels.map((panel) => inWords(panel.setting.name)).join(", ");
  return chart({
    description:
      `${axisTitle(response)} against ${settings}: ${counted(coupons, `measured ${row}`)}, the fitted line, ` +
      `and its ${level} bands for the mean and for a single ${row}.`,
    title: data.title ?? `${sentence(inWords(response.name))} against the settings`,
    subtitle: [
      `Dots: ${row}s. Line: fit${held === undefined ? "" : `, ${held}`}.`,
      `Dark band: ${level} for the mean; light band: ${level} for a single ${row}.`,
      ...thinned(most.measured, { row }).said,
    ],
    body: {
      columns: 2,
      concat: panels.map((panel) => responsePanel(response, panel, panels.length === 1)),
      resolve: { scale: { y: "shared" } },
    },
  });
}

function responsePanel(response: ChartQuantity, panel: ResponsePanel, alone: boolean): ChartPart {
  const x = measure("x", axisTitle(panel.setting), { axis: { tickCount: 6 } });
  const title = axisTitle(response);
  const curve = inline("chartResponse", "curve", panel.curve);
  const band = (low: string, high: string, opacity: number): ChartPart => ({
    data: curve,
    mark: { type: "area", color: colours.model.light, opacity },
    encoding: { x, y: measure(low, title), y2: { field: high } },
  });
  const layers: ChartPart[] = [
    band("couponLow", "couponHigh", 0.16),
    band("meanLow", "meanHigh", 0.32),
    {
      data: curve,
      mark: { type: "line", color: colours.model.light },
      encoding: { x, y: measure("fit", title) },
    },
  ];
  if (panel.measured.length > 0) {
    requireRows("chartResponse", "measured", panel.measured);
    layers.push({
      data: inline("chartResponse", "measured", thinned(panel.measured).drawn),
      mark: { type: "point", color: colours.measured.light, size: 36 },
      encoding: { x, y: measure("y", title) },
    });
  }
  return { width: alone ? 480 : 240, height: alone ? 280 : 190, layer: layers };
}
