import { requireThat } from "../errors/index.js";
import { counted } from "../numeric/index.js";
import { type ChartSpec, chart, inline, rowOf } from "./spec.js";
import { textWidth } from "./text-width.js";
import { colours } from "./theme.js";
import { thinned } from "./thinned.js";

/** What became of a coupon. */
export type CouponStanding = "passed" | "failed" | "not judged" | "voided" | "left out";

/** What {@link chartTimeline} draws. */
export interface TimelineChartData {
  /** In run order within each block. */
  readonly coupons: readonly {
    readonly coupon: string;
    readonly block: string;
    readonly outcome: CouponStanding;
  }[];
  /** Equipment or consumable changes, before the coupon named. */
  readonly changes?: readonly { readonly before: string; readonly what: string }[];
}

const outcomes: readonly (readonly [CouponStanding, string, string])[] = [
  ["passed", colours.good.light, "circle"],
  ["failed", colours.alarm.light, "cross"],
  ["not judged", colours.model.light, "square"],
  ["voided", colours.muted.light, "triangle-down"],
  ["left out", colours.muted.light, "diamond"],
];

/**
 * The coupons of a study, one row per block (a day, a gas cylinder) in run order: passed, failed, not judged, voided or left out, with the
 * changes of equipment between them.
 *
 * @throws {BeadbenchError} `bad-argument` when there is no coupon, or a change names one that is not there
 */
export function chartTimeline(data: TimelineChartData): ChartSpec {
  const blocks = [...new Set(data.coupons.map((row) => row.block))];
  const places = new Map<string, number>();
  const placed = data.coupons.map((row) => {
    const place = (places.get(row.block) ?? 0) + 1;
    places.set(row.block, place);
    return { ...row, place };
  });
  const changes = (data.changes ?? []).map(({ before, what }) => {
    const at = placed.find((row) => row.coupon === before);
    requireThat(
      at !== undefined,
      `chartTimeline: change "${what}" is before coupon ${before}, which is not there`,
    );
    return { block: at.block, place: at.place - 0.5, what };
  });
  const longest = Math.max(...places.values());
  const names = namesApart(changes, longest);
  const { drawn, said } = thinned(placed);
  const used = outcomes.filter(([name]) => placed.some((row) => row.outcome === name));
  const y = {
    field: "block",
    type: "nominal",
    sort: blocks,
    title: null,
    axis: { ticks: false, grid: true },
  };
  const x = {
    field: "place",
    type: "quantitative",
    title: "Place in the block's run order",
    scale: { domain: [0.2, longest + 0.8], nice: false, zero: false },
    axis: { tickMinStep: 1, format: "d", grid: false },
  };
  const channel = (range: readonly string[]) => ({
    field: "outcome",
    type: "nominal",
    title: null,
    scale: { domain: used.map(([name]) => name), range },
    legend: { orient: "bottom" },
  });
  return chart({
    description:
      `${counted(placed.length, "coupon")} over ${counted(blocks.length, "block")}: ` +
      `${used.map(([name]) => `${placed.filter((row) => row.outcome === name).length} ${name}`).join(", ")}.`,
    title: "Coupons by block",
    subtitle: [
      ...(changes.length === 0 ? [] : ["Upright line: a change of equipment or consumable."]),
      ...said,
    ],
    body: {
      width: Math.max(320, Math.min(560, 34 * longest)),
      height: { step: rowOf(blocks, 46) },
      layer: [
        {
          data: inline("chartTimeline", "coupons", drawn),
          mark: { type: "point", size: 110 },
          encoding: {
            x,
            y,
            color: channel(used.map(([, colour]) => colour)),
            shape: channel(used.map(([, , shape]) => shape)),
          },
        },
        ...(changes.length === 0
          ? []
          : [
              {
                data: { values: changes },
                mark: { type: "tick", orient: "vertical", size: 36, thickness: 2, color: colours.ink.light },
                encoding: { x, y },
              },
              ...names.map((values, side) => ({
                data: { values },
                mark: {
                  type: "text",
                  align: "left",
                  dx: 4,
                  dy: side === 0 ? -15 : 17,
                  fontSize: NAME_SIZE,
                  color: colours.muted.light,
                },
                encoding: { x, y, text: { field: "what" } },
              })),
            ]),
      ],
    },
  });
}

const NAME_SIZE = 10;
/** Width that names must stand clear of each other at, px: that of a phone. */
const NARROW = 300;

interface Change {
  readonly block: string;
  readonly place: number;
  readonly what: string;
}

/** Names of changes above and below their row; one that has room on neither side joins the name before it. */
function namesApart(changes: readonly Change[], longest: number): readonly (readonly Change[])[] {
  const sides: Change[][] = [[], []];
  const width = (text: string): number =>
    ((textWidth(text, { fontSize: NAME_SIZE }) + 8) * (longest + 0.6)) / NARROW;
  const ordered = [...changes].sort((a, b) => a.place - b.place);
  for (const change of ordered) {
    const lasts = sides.map((side) => side.findLast(({ block }) => block === change.block));
    const free = lasts.findIndex(
      (last) => last === undefined || last.place + width(last.what) <= change.place,
    );
    if (free >= 0) {
      sides[free]!.push(change);
      continue;
    }
    const [last] = lasts.map((one) => one!).sort((a, b) => b.place - a.place);
    const side = sides.find((one) => one.includes(last!))!;
    side[side.indexOf(last!)] = { ...last!, what: `${last!.what}, ${change.what}` };
  }
  return sides.filter((side) => side.length > 0);
}
