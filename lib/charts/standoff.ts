import { STANDOFF_BOUNDS } from "../models/index.js";
import { brief, counted } from "../numeric/index.js";
import { axisTitle, type ChartPart, type ChartSpec, chart, inline, levelText, measure } from "./spec.js";
import { standoffLimits } from "./standoff-limits.js";
import { colours } from "./theme.js";

/** Stand-off at which torch and part meet, mm: nothing below it can be. */
const CONTACT = 0;
/** How far above the line "too long" is drawn: further up there is no arc to speak of. */
const BEYOND_TOO_LONG = 1.5;

/** What {@link chartStandoff} draws; all lengths in mm. */
export interface StandoffChartData {
  /** What is forecast: stand-off of the tungsten or of the contact tube. */
  readonly name: string;
  /** Confidence level of the band, between 0 and 1. */
  readonly level: number;
  readonly forecast: readonly {
    readonly layer: number;
    readonly expected: number;
    readonly low: number;
    readonly high: number;
  }[];
  /** Stand-off at which the torch touches the part or the pool. */
  readonly touch: number;
  /** Stand-off above which gas cover or the arc fails. */
  readonly tooLong?: number;
  readonly measured?: readonly { readonly layer: number; readonly value: number }[];
}

/**
 * Stand-off forecast layer by layer with its band, the line where the torch touches, the line where it
 * is too long, and what has been measured so far.
 *
 * The band is for one layer at a time; the chance of at least one touch in the build is larger. What would lie
 * below a touch and below 0 mm is cut off, and so is what lies half as far again above "too long" (without that line,
 * above the longest stand-off a log may hold); the chart says so. The build has stopped by then.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no layer or a number is not finite
 */
export function chartStandoff(data: StandoffChartData): ChartSpec {
  const { forecast, measured = [], touch, tooLong } = data;
  const title = axisTitle({ name: data.name, unit: "mm" });
  const floor = Math.min(CONTACT, touch);
  const ceiling = Math.max(
    tooLong === undefined ? STANDOFF_BOUNDS.max : BEYOND_TOO_LONG * tooLong,
    ...measured.map(({ value }) => value),
  );
  const cuts = [
    { at: floor, side: "below", row: forecast.find((row) => row.low < floor) },
    { at: ceiling, side: "above", row: forecast.find((row) => row.high > ceiling) },
  ].flatMap(({ at, side, row }) => (row === undefined ? [] : [{ at, side, layer: row.layer }]));
  const within = (value: number): number => Math.min(ceiling, Math.max(floor, value));
  const shown = forecast.map((row) => ({
    ...row,
    expected: within(row.expected),
    low: within(row.low),
    high: within(row.high),
  }));
  inline("chartStandoff", "forecast", forecast);
  const values = inline("chartStandoff", "forecast", shown);
  const x = measure("layer", "Layer", {
    axis: { tickMinStep: 1, format: "d" },
    scale: { zero: false, nice: false },
  });
  const first = forecast.find((row) => row.low <= touch);
  const layers: ChartPart[] = [
    {
      data: values,
      mark: { type: "area", color: colours.model.light, opacity: 0.22 },
      encoding: { x, y: measure("low", title), y2: { field: "high" } },
    },
    {
      data: values,
      mark: { type: "line", color: colours.model.light },
      encoding: { x, y: measure("expected", title) },
    },
    ...standoffLimits("chartStandoff", title, data),
  ];
  if (measured.length > 0) {
    layers.push({
      data: inline("chartStandoff", "measured", measured),
      mark: { type: "point", color: colours.measured.light },
      encoding: { x, y: measure("value", title) },
    });
  }
  return chart({
    description:
      `${title} forecast over ${counted(forecast.length, "layer")} with ${levelText(data.level)} band; ` +
      (first === undefined
        ? "the band stays clear of a touch."
        : `the band reaches a touch at layer ${first.layer}.`) +
      cuts
        .map(
          ({ at, side, layer }) =>
            ` What would lie ${side} ${brief(at)} mm is cut off from layer ${layer} on.`,
        )
        .join(""),
    title: `${title.replace(/ \(.*/, "")} forecast`,
    subtitle: [
      `Line: expected; band: ${levelText(data.level)} per layer${measured.length > 0 ? "; dots: measured" : ""}.`,
      first === undefined
        ? "The band stays clear of a touch."
        : `The band reaches a touch at layer ${first.layer}.`,
      ...cuts.map(({ at, layer }) => `Cut off at ${brief(at)} mm from layer ${layer} on.`),
    ],
    body: { width: 500, height: 260, layer: layers },
  });
}
