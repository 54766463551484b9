import { requireThat } from "../errors/index.js";
import { counted } from "../numeric/index.js";
import { type ChartSpec, chart, inline, measure } from "./spec.js";
import { colours } from "./theme.js";

/** What {@link chartGrowth} draws. */
export interface GrowthChartData {
  /** What happened. */
  readonly what: string;
  /** Axis title of the running: `Arc time (h)`. */
  readonly running: string;
  /** Running at each event, growing. */
  readonly times: readonly number[];
  readonly end: number;
  /** Expected events by a running t: scale t^shape. */
  readonly law?: { readonly scale: number; readonly shape: number };
  /** Changes of equipment, to be marked. */
  readonly marks?: readonly { readonly at: number; readonly name: string }[];
}

const POINTS = 60;
/** Names of marks closer than this share of the width would lie on each other. */
const APART = 0.03;

/** Names beside the marks; those of marks close together stand as one. */
function labels(marks: NonNullable<GrowthChartData["marks"]>, end: number) {
  const groups: { readonly at: number; readonly names: Set<string> }[] = [];
  for (const { at, name } of [...marks].sort((a, b) => a.at - b.at)) {
    const last = groups.at(-1);
    if (last !== undefined && at - last.at < APART * end) last.names.add(name);
    else groups.push({ at, names: new Set([name]) });
  }
  return groups.map(({ at, names }) => ({ at, name: [...names].join(", ") }));
}

/**
 * Events counted over all running so far, with the fitted law and the changes made: a curve that bends down gets better.
 *
 * @throws {BeadbenchError} `bad-argument` without an event or with no running
 */
export function chartGrowth({ what, running, times, end, law, marks = [] }: GrowthChartData): ChartSpec {
  requireThat(times.length > 0 && end > 0, "chartGrowth: needs an event and some running");
  const steps = [
    { at: 0, events: 0 },
    ...times.flatMap((at, i) => [
      { at, events: i },
      { at, events: i + 1 },
    ]),
    { at: end, events: times.length },
  ].map((row, order) => ({ ...row, order }));
  const x = measure("at", running, { scale: { domain: [0, end], nice: false } });
  const y = measure("events", "Events so far", { axis: { tickMinStep: 1, format: "d" } });
  const line = (
    law === undefined ? [] : Array.from({ length: POINTS + 1 }, (_, i) => (end * i) / POINTS)
  ).map((at) => ({
    at,
    events: law!.scale * at ** law!.shape,
  }));
  return chart({
    description: `${counted(times.length, "event")} (${what}) over the running so far.`,
    title: `${what}, counted over all running`,
    subtitle: ["Steps: events. Line: fitted law. Upright: a change made."],
    body: {
      layer: [
        ...(marks.length === 0
          ? []
          : [
              {
                data: inline("chartGrowth", "marks", marks),
                mark: { type: "rule", color: colours.muted.light, strokeDash: [3, 3] },
                encoding: { x },
              },
              {
                data: { values: labels(marks, end) },
                mark: {
                  type: "text",
                  angle: 270,
                  align: "right",
                  dy: -5,
                  dx: -4,
                  limit: 250,
                  color: colours.muted.light,
                },
                encoding: { x, y: { value: 0 }, text: { field: "name" } },
              },
            ]),
        {
          data: inline("chartGrowth", "events", steps),
          mark: { type: "line", color: colours.measured.light, strokeWidth: 1.8 },
          encoding: { x, y, order: { field: "order" } },
        },
        ...(line.length === 0
          ? []
          : [
              {
                data: inline("chartGrowth", "law", line),
                mark: { type: "line", color: colours.model.light },
                encoding: { x, y },
              },
            ]),
      ],
      width: 460,
      height: 260,
    },
  });
}
