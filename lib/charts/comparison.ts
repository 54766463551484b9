import { requireThat } from "../errors/index.js";
import { type ChartPart, type ChartSpec, chart, inline, measure } from "./spec.js";
import { colours } from "./theme.js";

/** One estimate with its interval. */
export interface ComparedRow {
  readonly name: string;
  readonly estimate: number;
  readonly low: number;
  readonly high: number;
  /** Drawn in full: it differs by more than its uncertainty. */
  readonly differs: boolean;
}

/** Estimates of one unit, on an axis of their own. */
export interface ComparisonPanel {
  /** Axis title with unit. */
  readonly axis: string;
  readonly rows: readonly ComparedRow[];
  /** What is wanted, or what a difference may be without harm; open where an end is absent. */
  readonly band?: { readonly low?: number; readonly high?: number };
  /** Draws a line at no difference. */
  readonly zero?: boolean;
}

/** What {@link chartComparison} draws. */
export interface ComparisonChartData {
  readonly title: string;
  readonly subtitle: readonly string[];
  /** The picture in words. */
  readonly description: string;
  readonly panels: readonly ComparisonPanel[];
}

/** Room beyond the outermost mark, as a share of the axis. */
const MARGIN = 0.06;

/**
 * Two things compared, a panel per quantity: dots with interval whiskers on axes of their own, above a band of what is wanted
 * or harmless. What differs by more than its uncertainty is a filled circle, the rest an open square.
 *
 * @throws {BeadbenchError} `bad-argument` when a panel has no row or a number is not finite
 */
export function chartComparison({ title, subtitle, description, panels }: ComparisonChartData): ChartSpec {
  requireThat(panels.length > 0, "chartComparison: needs at least one of panels, got none");
  return chart({ description, title, subtitle, body: { vconcat: panels.map(panelSpec) } });
}

function panelSpec({ axis, rows, band, zero = false }: ComparisonPanel): ChartPart {
  const marked = rows.map((row) => ({ ...row, sign: row.differs ? "differs" : "not told apart" }));
  const values = inline("chartComparison", "rows", marked);
  const ends = [
    ...rows.flatMap(({ low, high, estimate }) => [low, high, estimate]),
    ...(zero ? [0] : []),
    ...[band?.low, band?.high].flatMap((end) => end ?? []),
  ];
  const [least, most] = [Math.min(...ends), Math.max(...ends)];
  const room = MARGIN * (most - least || Math.abs(most) || 1);
  const domain = [least - room, most + room] as const;
  const x = (field: string): ChartPart =>
    measure(field, axis, { scale: { domain, nice: false, zero: false }, axis: { tickCount: 6 } });
  const y = {
    field: "name",
    type: "nominal",
    sort: rows.map(({ name }) => name),
    title: null,
    axis: { ticks: false, domain: false },
  };
  const sign = (range: readonly string[]): ChartPart => ({
    field: "sign",
    type: "nominal",
    scale: { domain: ["differs", "not told apart"], range },
    legend: null,
  });
  const color = sign([colours.model.light, colours.muted.light]);
  return {
    width: 400,
    height: { step: 30 },
    layer: [
      ...(band === undefined
        ? []
        : [
            {
              data: { values: [{ from: band.low ?? domain[0], to: band.high ?? domain[1] }] },
              mark: { type: "rect", color: colours.good.light, opacity: 0.18 },
              encoding: { x: x("from"), x2: { field: "to" } },
            },
          ]),
      ...(zero
        ? [
            {
              data: { values: [{ none: 0 }] },
              mark: { type: "rule", color: colours.muted.light, strokeDash: [5, 4] },
              encoding: { x: x("none") },
            },
          ]
        : []),
      {
        data: values,
        mark: { type: "rule", strokeWidth: 2 },
        encoding: { x: x("low"), x2: { field: "high" }, y, color },
      },
      {
        data: values,
        mark: { type: "point", size: 85 },
        encoding: { x: x("estimate"), y, color, shape: sign(["circle", "square"]) },
      },
    ],
  };
}
