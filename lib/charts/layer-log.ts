import { requireThat } from "../errors/index.js";
import { counted, inWords } from "../numeric/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  measure,
} from "./spec.js";
import { colours } from "./theme.js";

/** One quantity followed over the layers of a build. */
export interface LayerSeries {
  readonly quantity: ChartQuantity;
  readonly readings: readonly { readonly layer: number; readonly value: number }[];
  /** Limits drawn as lines. */
  readonly lower?: number;
  readonly upper?: number;
}

/** What {@link chartLayerLog} draws. */
export interface LayerLogChartData {
  /** One panel each, first on top. */
  readonly series: readonly LayerSeries[];
  /** Stops, touches, wire jams: marked in every panel. */
  readonly incidents?: readonly { readonly layer: number; readonly kind: string }[];
}

/**
 * The log of a build, layer by layer: one panel per quantity on a common layer axis, limits dashed,
 * readings beyond a limit marked, incidents as upright lines named on top.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no series, a series is empty or a number is not finite
 */
export function chartLayerLog(data: LayerLogChartData): ChartSpec {
  const { series, incidents = [] } = data;
  requireThat(series.length > 0, "chartLayerLog: needs at least one series, got none");
  const layers = series.flatMap(({ readings }) => readings.map(({ layer }) => layer));
  const domain = [Math.min(...layers), Math.max(...layers)];
  const beyond = series.flatMap((one) => one.readings.filter(({ value }) => isBeyond(one, value))).length;
  return chart({
    description:
      `Layer log of ${series.map(({ quantity }) => inWords(quantity.name)).join(", ")} up to layer ${domain[1]}: ` +
      `${counted(beyond, "reading")} beyond a limit, ${counted(incidents.length, "incident")}.`,
    title: "Layer log",
    subtitle: ["Dashed: limits. Diamond: reading beyond a limit. Upright: incident."],
    body: {
      vconcat: series.map((one, i) =>
        seriesPanel({ series: one, incidents, domain, first: i === 0, last: i === series.length - 1 }),
      ),
      spacing: 14,
    },
  });
}

function isBeyond({ lower, upper }: LayerSeries, value: number): boolean {
  return (lower !== undefined && value < lower) || (upper !== undefined && value > upper);
}

function seriesPanel({
  series,
  incidents,
  domain,
  first,
  last,
}: {
  readonly series: LayerSeries;
  readonly incidents: NonNullable<LayerLogChartData["incidents"]>;
  readonly domain: readonly number[];
  readonly first: boolean;
  readonly last: boolean;
}): ChartPart {
  const rows = series.readings.map((reading) => ({ ...reading, beyond: isBeyond(series, reading.value) }));
  const values = inline("chartLayerLog", `${series.quantity.name} readings`, rows);
  const x = measure("layer", last ? "Layer" : null, {
    axis: { tickMinStep: 1, format: "d", labels: last },
    scale: { domain, nice: false, zero: false, padding: 8 },
  });
  const y = measure("value", null, { axis: { tickCount: 4 } });
  const limits = [series.lower, series.upper].flatMap((value) => (value === undefined ? [] : [{ value }]));
  const parts: ChartPart[] = [];
  if (limits.length > 0) {
    parts.push({
      data: inline("chartLayerLog", "limits", limits),
      mark: { type: "rule", strokeDash: [5, 4] },
      encoding: { y },
    });
  }
  parts.push(
    {
      data: values,
      mark: { type: "line", color: colours.model.light, strokeWidth: 1.5 },
      encoding: { x, y },
    },
    {
      data: values,
      mark: { type: "point", size: 30 },
      encoding: {
        x,
        y,
        color: {
          field: "beyond",
          type: "nominal",
          legend: null,
          scale: { domain: [false, true], range: [colours.model.light, colours.alarm.light] },
        },
        shape: {
          field: "beyond",
          type: "nominal",
          legend: null,
          scale: { domain: [false, true], range: ["circle", "diamond"] },
        },
        size: { condition: { test: "datum.beyond", value: 80 }, value: 24 },
      },
    },
  );
  if (incidents.length > 0) {
    const marks = inline("chartLayerLog", "incidents", incidents);
    parts.push({
      data: marks,
      mark: { type: "rule", color: colours.alarm.light, strokeWidth: 1.5 },
      encoding: { x },
    });
    if (first) {
      parts.push({
        data: marks,
        mark: { type: "text", baseline: "bottom", dy: -4, color: colours.alarm.light },
        encoding: { x, y: { value: 0 }, text: { field: "kind" } },
      });
    }
  }
  return {
    title: {
      text: axisTitle(series.quantity),
      fontSize: 12,
      fontWeight: "normal",
      offset: first && incidents.length > 0 ? 20 : 5,
    },
    width: 500,
    height: 110,
    layer: parts,
  };
}
