import type { ControlChart } from "../endurance/index.js";
import { brief, counted } from "../numeric/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  labelsAt,
  measure,
} from "./spec.js";
import { colours } from "./theme.js";

/** What {@link chartControl} draws. */
export interface ControlChartData {
  readonly quantity: ChartQuantity;
  readonly control: ControlChart;
}

/** A line of one panel. */
interface Line {
  readonly values: readonly { readonly place: number; readonly value: number; readonly beyond: boolean }[];
}

/**
 * Control charts one below the other on a common axis: single readings, moving ranges, the weighted average and the two
 * cumulative sums (what lay below drawn downwards), each with its limits, and changes of equipment as upright lines.
 *
 * @throws {BeadbenchError} `bad-argument` when a number is not finite
 */
export function chartControl({ quantity, control }: ControlChartData): ChartSpec {
  const { points, centre, lower, upper, rangeUpper, sumLimit, shift, far } = control;
  const changes = points.flatMap(({ change }, i) =>
    change === undefined ? [] : [{ place: i + 0.5, change: change.replaceAll("_", " ") }],
  );
  const labels = points.map(({ label }) => label);
  const line = (
    of: (point: ControlChart["points"][number]) => number | null,
    beyond: (point: ControlChart["points"][number]) => boolean,
  ): Line => ({
    values: points.flatMap((point, i) => {
      const value = of(point);
      return value === null ? [] : [{ place: i + 1, value, beyond: beyond(point) }];
    }),
  });
  const signals = (name: "single" | "average" | "sum") => (point: ControlChart["points"][number]) =>
    point.signals.includes(name);
  const panels = [
    {
      title: axisTitle(quantity),
      lines: [line(({ value }) => value, signals("single"))],
      level: [centre],
      limits: [lower, upper],
    },
    {
      title: "Moving range",
      lines: [
        line(
          ({ movingRange }) => movingRange,
          ({ movingRange }) => (movingRange ?? 0) > rangeUpper,
        ),
      ],
      level: [0],
      limits: [rangeUpper],
    },
    {
      title: "Weighted average",
      lines: [line(({ average }) => average, signals("average"))],
      level: [centre],
      limits: [],
      band: points.map(({ averageLower, averageUpper }, i) => ({
        place: i + 1,
        low: averageLower,
        high: averageUpper,
      })),
    },
    {
      title: "Cumulative sums",
      lines: [
        line(
          ({ sumUp }) => sumUp,
          (point) => signals("sum")(point) && point.sumUp > sumLimit,
        ),
        line(
          ({ sumDown }) => 0 - sumDown,
          (point) => signals("sum")(point) && point.sumDown > sumLimit,
        ),
      ],
      level: [0],
      limits: [-sumLimit, sumLimit],
    },
  ];
  const said = [
    shift === null
      ? "No lasting shift shows."
      : `Shifted ${shift.direction} by about ${brief(Math.abs(shift.size), 2)} since ${shift.since}.`,
    ...(far.length === 0 ? [] : [`Far off: ${far.join(", ")}.`]),
  ];
  return chart({
    description: `Control charts of ${quantity.name} over ${counted(points.length, "reading")}: ${said.join(" ")}`,
    title: "Drift of the rig",
    subtitle: [
      said.join(" "),
      `Dashed: limits. Diamond: beyond a limit.${changes.length === 0 ? "" : " Upright: a change of equipment."}`,
    ],
    body: {
      vconcat: panels.map((panel, i) =>
        panelPart({ panel, changes, labels, first: i === 0, last: i === panels.length - 1 }),
      ),
      spacing: 14,
    },
  });
}

function panelPart({
  panel,
  changes,
  labels,
  first,
  last,
}: {
  readonly panel: {
    readonly title: string;
    readonly lines: readonly Line[];
    readonly level: readonly number[];
    readonly limits: readonly number[];
    readonly band?: readonly object[];
  };
  readonly changes: readonly { readonly place: number; readonly change: string }[];
  readonly labels: readonly string[];
  readonly first: boolean;
  readonly last: boolean;
}): ChartPart {
  const x = {
    field: "place",
    type: "quantitative",
    title: null,
    scale: { domain: [0.5, labels.length + 0.5], nice: false, zero: false },
    axis: {
      ...labelsAt(labels, 1),
      labels: last,
      labelAngle: -60,
      labelAlign: "right",
      labelOverlap: true,
      grid: false,
    },
  };
  const y = measure("value", null, { axis: { tickCount: 4 } });
  const across = (what: string, values: readonly number[], mark: ChartPart): ChartPart[] =>
    values.length === 0
      ? []
      : [
          {
            data: inline(
              "chartControl",
              what,
              values.map((value) => ({ value })),
            ),
            mark: { type: "rule", ...mark },
            encoding: { y },
          },
        ];
  const edge = (field: string): ChartPart => ({
    data: inline("chartControl", "limits of the average", panel.band ?? []),
    mark: {
      type: "line",
      interpolate: "step",
      strokeDash: [5, 4],
      strokeWidth: 1,
      color: colours.muted.light,
    },
    encoding: { x, y: measure(field, null) },
  });
  const marks =
    changes.length === 0
      ? []
      : [
          {
            data: { values: changes.map((row) => ({ ...row })) },
            mark: { type: "rule", color: colours.alarm.light, strokeWidth: 1.2 },
            encoding: { x },
          },
          ...(first
            ? [
                {
                  data: { values: changes.map((row) => ({ ...row })) },
                  mark: {
                    type: "text",
                    baseline: "bottom",
                    dy: -4,
                    color: colours.alarm.light,
                    fontSize: 10,
                  },
                  encoding: { x, y: { value: 0 }, text: { field: "change" } },
                },
              ]
            : []),
        ];
  return {
    title: {
      text: panel.title,
      fontSize: 12,
      fontWeight: "normal",
      offset: first && changes.length > 0 ? 20 : 5,
    },
    width: 500,
    height: 90,
    layer: [
      ...across("centre", panel.level, { strokeWidth: 1, color: colours.muted.light }),
      ...across("limits", panel.limits, { strokeDash: [5, 4], strokeWidth: 1 }),
      ...(panel.band === undefined ? [] : [edge("low"), edge("high")]),
      ...panel.lines.flatMap(({ values }) => linePart({ values, x, y })),
      ...marks,
    ],
  };
}

function linePart({
  values,
  x,
  y,
}: Line & { readonly x: ChartPart; readonly y: ChartPart }): readonly ChartPart[] {
  const data = inline("chartControl", "readings", values);
  const choice = (range: readonly string[]) => ({
    field: "beyond",
    type: "nominal",
    legend: null,
    scale: { domain: [false, true], range },
  });
  return [
    { data, mark: { type: "line", color: colours.model.light, strokeWidth: 1.5 }, encoding: { x, y } },
    {
      data,
      mark: { type: "point" },
      encoding: {
        x,
        y,
        color: choice([colours.model.light, colours.alarm.light]),
        shape: choice(["circle", "diamond"]),
        size: { condition: { test: "datum.beyond", value: 90 }, value: 24 },
      },
    },
  ];
}
