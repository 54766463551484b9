import { BeadbenchError, requireThat } from "../errors/index.js";
import { settingDigits } from "../numeric/index.js";
import { axisTitle, type ChartQuantity, type ChartSpec, chart, inline, levelText } from "./spec.js";
import { textWidth } from "./text-width.js";
import { colours } from "./theme.js";

/** The window of one setting within the range that was studied. */
export interface RangeBar {
  readonly setting: ChartQuantity;
  /** Range studied. */
  readonly studied: { readonly low: number; readonly high: number };
  /** Range that keeps the chance of conformance above the level. */
  readonly window: { readonly low: number; readonly high: number };
  readonly recommended: number;
}

/** What {@link chartWindowRanges} draws. */
export interface WindowRangesChartData {
  /** Chance that the window keeps, between 0 and 1. */
  readonly level: number;
  readonly ranges: readonly RangeBar[];
}

/**
 * The process window as one bar per setting: the range studied (grey), the part that keeps the chance of
 * conformance above the level (green), the recommended value (diamond). Each bar is scaled to its own
 * range, with the values written on it, so that settings of different units can be compared.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no range, or a range is empty or not finite
 */
export function chartWindowRanges(data: WindowRangesChartData): ChartSpec {
  requireThat(data.ranges.length > 0, "chartWindowRanges: needs at least one range, got none");
  const rows = data.ranges.map(windowRow);
  const values = inline("chartWindowRanges", "ranges", rows);
  const y = {
    field: "setting",
    type: "nominal",
    sort: rows.map((row) => row.setting),
    title: null,
    axis: { ticks: false, domain: false },
  };
  // Room beside the bars for what is written there, however wide the drawing.
  const beside = (end: "studiedLow" | "studiedHigh"): number =>
    Math.max(...rows.map((row) => Math.max(textWidth(row[end]) + 12, textWidth(row.range) / 2)));
  const x = (field: string) => ({
    field,
    type: "quantitative",
    title: null,
    scale: {
      domain: [0, 1],
      range: [beside("studiedLow"), { expr: `width - ${beside("studiedHigh")}` }],
      nice: false,
      zero: false,
    },
    axis: null,
  });
  const bar = ({
    low,
    high,
    color,
    opacity,
    height,
  }: {
    readonly low: string;
    readonly high: string;
    readonly color: string;
    readonly opacity: number;
    readonly height: number;
  }) => ({
    mark: { type: "bar", color, opacity, height, cornerRadius: 2 },
    encoding: { x: x(low), x2: { field: high }, y },
  });
  const text = ({
    at,
    field,
    align,
    dx,
    dy,
    color,
  }: {
    readonly at: string;
    readonly field: string;
    readonly align: string;
    readonly dx: number;
    readonly dy: number;
    readonly color: string;
  }) => ({
    mark: { type: "text", align, dx, dy, color },
    encoding: { x: x(at), y, text: { field } },
  });
  const muted = colours.muted.light;
  return chart({
    description: `Window of each setting at ${levelText(data.level)} chance to conform: ${rows.map((row) => row.sentence).join("; ")}.`,
    title: "Process window",
    subtitle: [
      `Grey: range studied. Green: keeps at least ${levelText(data.level)} chance to conform. Diamond: recommended.`,
    ],
    body: {
      width: 460,
      height: { step: 58 },
      view: { stroke: null },
      data: values,
      layer: [
        bar({ low: "studiedFrom", high: "studiedTo", color: muted, opacity: 0.22, height: 10 }),
        bar({ low: "from", high: "to", color: colours.good.light, opacity: 0.85, height: 14 }),
        {
          mark: {
            type: "point",
            shape: "diamond",
            size: 130,
            fill: "#f0e442",
            stroke: colours.ink.light,
            strokeWidth: 1.5,
          },
          encoding: { x: x("recommended"), y },
        },
        text({ at: "studiedFrom", field: "studiedLow", align: "right", dx: -6, dy: 0, color: muted }),
        text({ at: "studiedTo", field: "studiedHigh", align: "left", dx: 6, dy: 0, color: muted }),
        text({ at: "middle", field: "range", align: "center", dx: 0, dy: 17, color: colours.ink.light }),
        text({
          at: "recommended",
          field: "value",
          align: "center",
          dx: 0,
          dy: -16,
          color: colours.ink.light,
        }),
      ],
    },
  });
}

/** One bar on the common scale: 0 at the low end of the range studied, 1 at the high end. */
function windowRow({ setting, studied, window, recommended }: RangeBar) {
  const span = studied.high - studied.low;
  if (!(span > 0) || !(window.high >= window.low)) {
    throw new BeadbenchError(
      "bad-argument",
      `chartWindowRanges: ${setting.name}: low must be below high, got ${studied.low} to ${studied.high} studied ` +
        `and ${window.low} to ${window.high} allowed`,
    );
  }
  const share = (value: number): number => (value - studied.low) / span;
  const title = axisTitle(setting);
  return {
    setting: title,
    studiedFrom: 0,
    studiedTo: 1,
    from: share(window.low),
    to: share(window.high),
    middle: share((window.low + window.high) / 2),
    recommended: share(recommended),
    studiedLow: settingDigits(studied.low),
    studiedHigh: settingDigits(studied.high),
    range:
      window.low === window.high
        ? "no room"
        : `${settingDigits(window.low)} to ${settingDigits(window.high)}`,
    value: settingDigits(recommended),
    sentence: `${title} ${settingDigits(window.low)} to ${settingDigits(window.high)}, recommended ${settingDigits(recommended)}`,
  };
}
