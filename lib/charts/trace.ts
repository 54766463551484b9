import { counted } from "../numeric/index.js";
import type { TraceEventKind, TraceMeasure } from "../traces/index.js";
import { axisTitle, type ChartPart, type ChartSpec, chart, inline, labelsAt, measure } from "./spec.js";
import { colours } from "./theme.js";

/** Marks of one kind on a chart; of more, those that lasted longest are drawn. */
const MOST_MARKS = 400;

/** px */
const WIDTH = 520;

/** What {@link chartTrace} draws: of a {@link TraceMeasure}, with names for its stretches where they have any. */
export type TraceChartData = Pick<TraceMeasure, "file" | "envelope" | "events" | "span" | "partial"> & {
  readonly stretches: readonly { readonly from?: number; readonly to?: number; readonly name?: string }[];
};

/** Kinds in the order of their rows below the signals. */
const rows: readonly (readonly [TraceEventKind, string])[] = [
  ["ignition", "ignition"],
  ["misfire", "misfire"],
  ["short", "short"],
  ["touch", "touch"],
  ["stuck", "stuck"],
  ["stopped", "wire stopped"],
  ["lost", "arc lost"],
];

/**
 * A trace over time: what current and voltage ran between, thinned, with their means; below them what happened, each
 * kind on its row; above, the coupons or runs.
 *
 * @throws {BeadbenchError} `bad-argument` when a number is not finite
 */
export function chartTrace({
  file,
  envelope,
  events,
  span = [0, 1],
  partial,
  stretches,
}: TraceChartData): ChartSpec {
  const kinds = rows.filter(([kind]) => events.some((event) => event.kind === kind));
  const runs = stretches.flatMap(({ from, to, name }, i) =>
    from === undefined || to === undefined
      ? []
      : [{ from, to, middle: (from + to) / 2, name: name ?? `${i + 1}` }],
  );
  const counts = kinds.map(
    ([kind, name]) => `${name} ${events.filter((event) => event.kind === kind).length}`,
  );
  return chart({
    description: `Trace ${file}: current and voltage over ${counted(runs.length, "run")} of arc${partial ? ", of a file that is cut off" : ""}; ${counts.join(", ")}.`,
    title: "Arc trace",
    subtitle: [
      `${file}${partial ? ", of which the end is missing" : ""}. Band: from the least to the largest; line: mean.`,
      "Below: what happened, as long as it took.",
    ],
    body: {
      vconcat: [
        ...(runs.length === 0 ? [] : [runRow(runs, span)]),
        signal({ name: "current", unit: "A" }, envelope, span),
        signal({ name: "voltage", unit: "V" }, envelope, span),
        ...(kinds.length === 0 ? [] : [eventRows(kinds, events, span)]),
      ],
      spacing: 10,
    },
  });
}

type Span = readonly [from: number, to: number];

const timeAxis = (span: Span, field = "time", title: string | null = null): ChartPart =>
  measure(field, title, {
    axis: { labels: title !== null, ticks: title !== null },
    scale: { domain: span, nice: false, zero: false },
  });

/** Coupons or runs, as bars over the stretch of time they take. */
function runRow(
  runs: readonly {
    readonly from: number;
    readonly to: number;
    readonly middle: number;
    readonly name: string;
  }[],
  span: Span,
): ChartPart {
  return {
    width: WIDTH,
    height: 20,
    data: inline("chartTrace", "stretches", runs),
    layer: [
      {
        mark: { type: "bar", color: colours.good.light, opacity: 0.35, height: 14 },
        encoding: { x: timeAxis(span, "from"), x2: { field: "to" } },
      },
      {
        mark: { type: "text", color: colours.ink.light },
        encoding: { x: timeAxis(span, "middle"), text: { field: "name" } },
      },
    ],
  };
}

function signal(
  quantity: { readonly name: "current" | "voltage"; readonly unit: string },
  envelope: TraceChartData["envelope"],
  span: Span,
): ChartPart {
  const bands = envelope.map((band) => {
    const [low, mean, high] = band[quantity.name];
    return { time: band.time, low, mean, high };
  });
  const values = inline("chartTrace", "envelope", bands);
  const y = { axis: { tickCount: 5 }, scale: { zero: true } };
  return {
    title: { text: axisTitle(quantity), fontSize: 12, fontWeight: "normal", offset: 5 },
    width: WIDTH,
    height: 130,
    data: values,
    layer: [
      {
        mark: { type: "area", color: colours.model.light, opacity: 0.3 },
        encoding: { x: timeAxis(span), y: measure("low", null, y), y2: { field: "high" } },
      },
      {
        mark: { type: "line", color: colours.model.light, strokeWidth: 1.2 },
        encoding: { x: timeAxis(span), y: measure("mean", null, y) },
      },
    ],
  };
}

/** What happened, each kind on its row, as a tick where it began and a bar as long as it took. */
function eventRows(kinds: typeof rows, events: TraceChartData["events"], span: Span): ChartPart {
  const marks = kinds.flatMap(([kind], row) =>
    events
      .filter((event) => event.kind === kind)
      .sort((a, b) => b.duration - a.duration)
      .slice(0, MOST_MARKS)
      .map(({ start, duration }) => ({
        row: row + 1,
        start,
        end: start + duration,
        usual: kind === "ignition" || kind === "short",
      })),
  );
  const color = {
    field: "usual",
    type: "nominal",
    legend: null,
    scale: { domain: [true, false], range: [colours.muted.light, colours.alarm.light] },
  };
  const names = kinds.map(([, name]) => name);
  const y = measure("row", null, {
    axis: { ...labelsAt(names, 1), grid: false },
    scale: { domain: [0.5, kinds.length + 0.5], reverse: true, nice: false, zero: false },
  });
  const x = timeAxis(span, "start", "Time (s)");
  return {
    width: WIDTH,
    height: 18 * kinds.length,
    data: inline("chartTrace", "events", marks),
    layer: [
      { mark: { type: "rule", strokeWidth: 5 }, encoding: { x, x2: { field: "end" }, y, color } },
      { mark: { type: "tick", orient: "vertical", thickness: 1.5, size: 11 }, encoding: { x, y, color } },
    ],
  };
}
