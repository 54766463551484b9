import { requireNumber, requireThat } from "../errors/index.js";
import { counted, inWords, significant } from "../numeric/index.js";
import { type ChartPart, type ChartSpec, chart, inline, measure } from "./spec.js";
import { colours } from "./theme.js";

/** What {@link chartBuildTimeline} draws; times in h since the build began. */
export interface BuildTimelineChartData {
  /** The end of each layer without stops, in order. */
  readonly layers: readonly { readonly layer: number; readonly at: number; readonly relevel?: boolean }[];
  /** What is changed, and before the end of which layer. */
  readonly changes: readonly { readonly layer: number; readonly at: number; readonly what: string }[];
  /** End of the build with the stops expected, and in the twentieth of builds with most of them. */
  readonly expected: number;
  readonly longest: number;
}

/** Names of changes closer than this share of the height stand in one. */
const APART = 0.06;

/**
 * A build against the clock: layers done without stops, with the stops expected, and in the twentieth of builds with most;
 * changes of cylinder, spool and tungsten stand where they fall due. Stops are spread evenly over the build, which no real
 * one does: read the end, and the order of changes.
 *
 * @throws {BeadbenchError} `bad-argument` without a layer, for a number that is not finite, or an end before the last layer
 */
export function chartBuildTimeline({
  layers,
  changes,
  expected,
  longest,
}: BuildTimelineChartData): ChartSpec {
  requireThat(layers.length > 0, "chartBuildTimeline: needs at least one of layers, got none");
  const end = layers.at(-1)!;
  requireNumber("chartBuildTimeline: expected", expected, { min: end.at * (1 - 1e-9), unit: "h" });
  requireNumber("chartBuildTimeline: longest", longest, { min: expected * (1 - 1e-9), unit: "h" });
  const slower = (to: number): number => (end.at > 0 ? to / end.at : 1);
  const start = { layer: layers[0]!.layer - 1, at: 0 };
  const rows = [start, ...layers].map(({ layer, at }) => ({
    layer,
    at,
    expected: at * slower(expected),
    longest: at * slower(longest),
  }));
  const data = inline("chartBuildTimeline", "layers", rows);
  const x = (field: string) =>
    measure(field, "Time since the start (h)", {
      scale: { domain: [0, Math.max(longest, 1e-6)], nice: false },
    });
  const y = (field: string) => measure(field, "Layers done", { axis: { tickMinStep: 1, format: "d" } });
  const relevels = layers.filter(({ relevel }) => relevel === true);
  const labelled = named(changes, end.layer - start.layer);
  const line = (field: string, mark: ChartPart): ChartPart => ({
    data,
    mark: { type: "line", ...mark },
    encoding: { x: x(field), y: y("layer"), order: { field: "layer" } },
  });
  const dots = (what: string, some: readonly object[], mark: ChartPart): ChartPart[] =>
    some.length === 0
      ? []
      : [
          {
            data: inline("chartBuildTimeline", what, some),
            mark: { type: "point", ...mark },
            encoding: { x: x("at"), y: y("layer") },
          },
        ];
  return chart({
    description:
      `${counted(layers.length, "layer")} in ${significant(end.at)} h without stops, ${significant(expected)} h with those expected, ` +
      `${significant(longest)} h in the longest twentieth of builds; ` +
      `${labelled.map(({ layer, name }) => `${name} by layer ${layer}`).join(", ") || "nothing to be changed"}.`,
    title: "The build against the clock",
    subtitle: [
      `Line: without stops, ${significant(end.at)} h. Dashed: with the stops expected, ${significant(expected)} h. Dotted: the longest twentieth of builds, ${significant(longest)} h.`,
      [
        ...(changes.length > 0 ? ["Diamond: something is to be changed."] : []),
        ...(relevels.length > 0 ? ["Small triangle: levelled before."] : []),
      ].join(" "),
    ].filter((text) => text !== ""),
    body: {
      width: 500,
      height: 260,
      layer: [
        {
          data,
          mark: { type: "area", orient: "horizontal", color: colours.model.light, opacity: 0.13 },
          encoding: { x: x("at"), x2: { field: "longest" }, y: y("layer") },
        },
        line("at", { color: colours.model.light }),
        line("expected", { color: colours.measured.light, strokeDash: [6, 4], strokeWidth: 1.5 }),
        line("longest", { color: colours.muted.light, strokeDash: [1.5, 3], strokeWidth: 1.5 }),
        ...dots(
          "levellings",
          relevels.map(({ layer, at }) => ({ layer, at })),
          { shape: "triangle-up", size: 26, color: colours.measured.light },
        ),
        ...dots(
          "changes",
          changes.map(({ layer, at }) => ({ layer, at })),
          { shape: "diamond", size: 110, color: colours.alarm.light },
        ),
        ...(labelled.length === 0
          ? []
          : [
              {
                data: inline("chartBuildTimeline", "changes", labelled),
                mark: { type: "text", align: "right", dx: -9, dy: -7, color: colours.alarm.light },
                encoding: { x: x("at"), y: y("layer"), text: { field: "name" } },
              },
            ]),
      ],
    },
  });
}

/** Names beside the changes; those of changes close together stand as one, at the first. */
function named(
  changes: BuildTimelineChartData["changes"],
  layers: number,
): readonly { readonly layer: number; readonly at: number; readonly name: string }[] {
  const groups: { readonly layer: number; readonly at: number; readonly names: Set<string> }[] = [];
  for (const { layer, at, what } of [...changes].sort((a, b) => a.layer - b.layer)) {
    const last = groups.at(-1);
    if (last !== undefined && layer - last.layer < APART * layers) last.names.add(inWords(what));
    else groups.push({ layer, at, names: new Set([inWords(what)]) });
  }
  return groups.map(({ layer, at, names }) => ({ layer, at, name: [...names].join(", ") }));
}
