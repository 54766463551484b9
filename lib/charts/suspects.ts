import { requireNumber, requireThat } from "../errors/index.js";
import { counted, percent } from "../numeric/index.js";
import { type ChartSpec, chart, inline, labelsAt, measure, rowOf } from "./spec.js";
import { wrapLines } from "./text-width.js";
import { colours } from "./theme.js";

/** A coupon that may be wrong on paper or have come out as no other of its kind. */
export interface Suspect {
  readonly coupon: string;
  /** Chance that it is, between 0 and 1. */
  readonly chance: number;
  /** Why, in few words: `bead width 9.8 mm; the others foresee 5.7 mm`. */
  readonly reason: string;
}

/** What {@link chartSuspects} draws. */
export interface SuspectChartData {
  /** In any order. */
  readonly suspects: readonly Suspect[];
}

/** Rows shown at most: the likeliest. */
const MOST = 15;
const WIDTH = 420;
/** Room of a reason, px: that of a phone. */
const REASON_ROOM = 170;
/** px of a bar with its reason above it, in so many lines. */
const rowHeight = (lines: number): number => 24 + 14 * lines;

/**
 * Coupons by the chance that something is wrong with them, the likeliest first, each with the reason. A chance is no
 * verdict: look at the sheet and the coupon before anything is corrected or voided.
 *
 * @throws {BeadbenchError} `bad-argument` without a row, or for a chance outside 0 to 1
 */
export function chartSuspects({ suspects }: SuspectChartData): ChartSpec {
  requireThat(suspects.length > 0, "chartSuspects: needs at least one of suspects, got none");
  suspects.forEach(({ chance }, i) => {
    requireNumber(`chartSuspects: suspects[${i}].chance`, chance, { min: 0, max: 1 });
  });
  const shown = [...suspects].sort((a, b) => b.chance - a.chance).slice(0, MOST);
  const reasons = shown.map(({ reason }) => wrapLines(reason, REASON_ROOM));
  const lines = Math.max(...reasons.map(({ length }) => length));
  const rows = shown.map(({ coupon, chance }, i) => ({
    place: i + 1,
    coupon,
    chance,
    said: percent(chance),
    // The last line stands on the bar, however many there are.
    reason: [...Array.from({ length: lines - reasons[i]!.length }, () => ""), ...reasons[i]!],
  }));
  const values = inline("chartSuspects", "suspects", rows);
  const y = {
    field: "place",
    type: "ordinal",
    title: null,
    axis: {
      ...labelsAt(
        rows.map(({ coupon }) => coupon),
        1,
      ),
      ticks: false,
      labelLimit: 0,
      labelOffset: 7 * lines,
    },
  };
  const x = measure("chance", "Chance that it is wrong", {
    scale: { domain: [0, 1] },
    axis: { format: ".0%", tickCount: 5 },
  });
  return chart({
    description: `Suspect coupons: ${rows.map(({ coupon, said }, i) => `${coupon} ${said}, ${shown[i]!.reason}`).join("; ")}.`,
    title: "Suspect coupons",
    subtitle: [
      `Bars: chance that something is wrong. Look before you correct.${suspects.length > MOST ? ` The likeliest ${MOST} of ${counted(suspects.length, "coupon")}.` : ""}`,
    ],
    body: {
      width: WIDTH,
      height: {
        step: rowOf(
          rows.map(({ coupon }) => coupon),
          rowHeight(lines),
        ),
      },
      layer: [
        {
          data: values,
          mark: { type: "bar", color: colours.alarm.light, height: 13, yOffset: 7 * lines },
          encoding: { y, x },
        },
        {
          data: values,
          mark: { type: "text", align: "left", dx: 6, dy: 7 * lines, color: colours.ink.light },
          encoding: { y, x, text: { field: "said" } },
        },
        {
          data: values,
          mark: {
            type: "text",
            align: "left",
            baseline: "top",
            dx: 3,
            dy: -7 * lines - 9,
            lineHeight: 14,
            color: colours.muted.light,
          },
          encoding: { y, x: { value: 0 }, text: { field: "reason" } },
        },
      ],
    },
  });
}
