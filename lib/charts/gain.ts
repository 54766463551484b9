import { requireThat } from "../errors/index.js";
import { counted, fixed } from "../numeric/index.js";
import { type ChartSpec, chart, inline, labelsAt, measure, rowOf } from "./spec.js";
import { colours } from "./theme.js";

/** What a coupon, or several run together, added to the best known chance. */
export interface GainRow {
  /** `C007`, `C007 to C012`. */
  readonly name: string;
  /** Rise expected before it was run, as a share (0.02 is 2 points). */
  readonly expected: number;
  /** Rise that came; absent for what was not run yet. */
  readonly gained?: number;
}

/** What {@link chartGain} draws. */
export interface GainChartData {
  /** In the order they were run or are to be run. */
  readonly rows: readonly GainRow[];
}

/** Rows shown at most: the last ones, with what is still to be run. */
const MOST = 40;

/**
 * What coupons were expected to add to the best known chance, and what they added. Gains of coupons run together do not add
 * up to theirs alone, and a gain below 0 is a lesson too: the chance had been thought too high.
 *
 * @throws {BeadbenchError} `bad-argument` without a row or when a number is not finite
 */
export function chartGain({ rows: all }: GainChartData): ChartSpec {
  requireThat(all.length > 0, "chartGain: needs at least one of rows, got none");
  const points = (share: number): number => 100 * share;
  const rows = all.slice(-MOST).map(({ name, expected, gained }, place) => ({
    place: place + 1,
    name,
    expected: points(expected),
    ...(gained === undefined ? {} : { gained: points(gained) }),
    end: Math.max(0, points(expected), points(gained ?? 0)),
    label:
      gained === undefined
        ? signed(points(expected))
        : `${signed(points(gained))} (${signed(points(expected))})`,
  }));
  const names = rows.map(({ name }) => name);
  const run = rows.filter((row) => row.gained !== undefined);
  const values = inline("chartGain", "rows", rows);
  const y = {
    field: "place",
    type: "ordinal",
    title: null,
    axis: { ...labelsAt(names, 1), ticks: false, labelLimit: 0, labelPadding: 12 },
  };
  const x = (field: string) => measure(field, "Rise of the best chance (percentage points)");
  return chart({
    description: `What coupons added to the best known chance, in percentage points, with what was expected in brackets: ${rows
      .map(({ name, label }) => `${name} ${label}`)
      .join("; ")}.`,
    title: "Gain by coupon",
    subtitle: [
      [
        ...(run.length > 0 ? ["Bar: gained."] : []),
        `Diamond${run.length > 0 ? ", and in brackets" : ""}: expected beforehand.`,
      ].join(" "),
      "Expected counts verdicts only: sizes measured teach more.",
      ...(all.length > MOST ? [`The last ${MOST} of ${counted(all.length, "row")}.`] : []),
    ],
    body: {
      width: 380,
      height: { step: rowOf(names, 26) },
      layer: [
        ...(run.length === 0
          ? []
          : [
              {
                data: inline("chartGain", "rows", run),
                mark: { type: "bar", color: colours.model.light, height: { band: 0.6 } },
                encoding: { y, x: x("gained") },
              },
            ]),
        {
          data: { values: [{ at: 0 }] },
          mark: { type: "rule", color: colours.muted.light },
          encoding: { x: x("at") },
        },
        {
          data: values,
          mark: {
            type: "point",
            shape: "diamond",
            size: 80,
            filled: true,
            fill: colours.paper.light,
            stroke: colours.ink.light,
            strokeWidth: 1.5,
          },
          encoding: { y, x: x("expected") },
        },
        {
          data: values,
          mark: { type: "text", align: "left", dx: 9, color: colours.ink.light },
          encoding: { y, x: x("end"), text: { field: "label" } },
        },
      ],
    },
  });
}

/** `+4.2`, `-0.3`, `0.0`. */
function signed(points: number): string {
  const text = fixed(points, 1);
  return Number(text) > 0 ? `+${text}` : text;
}
