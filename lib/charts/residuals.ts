import { requireNumber } from "../errors/index.js";
import { brief, counted, inWords, sentence } from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  measure,
} from "./spec.js";
import { textWidth } from "./text-width.js";
import { colours } from "./theme.js";

/** What {@link chartResiduals} draws. */
export interface ResidualChartData {
  readonly response: ChartQuantity;
  /** Measured minus fitted, in the unit of the response (unit `1` when studentised), with place in run order. */
  readonly residuals: readonly {
    readonly coupon: string;
    readonly run: number;
    readonly residual: number;
    /** Day or block the coupon was run in. */
    readonly block: string;
  }[];
  /** Residuals beyond plus or minus this are marked and named. */
  readonly limit: number;
}

/**
 * Residuals in run order, with the days or blocks set apart: a slope, a step between days or a change
 * in scatter shows what the model does not know of (a worn tip, a new spool, a warming rig).
 *
 * @throws {BeadbenchError} `bad-argument` when there is no residual or a number is not finite
 */
export function chartResiduals(data: ResidualChartData): ChartSpec {
  const { response, residuals } = data;
  const limit = requireNumber("chartResiduals: limit", data.limit, { min: 0 });
  const beyond = residuals.filter((row) => Math.abs(row.residual) > limit);
  const values = inline(
    "chartResiduals",
    "residuals",
    residuals.map((row) => ({
      ...row,
      mark: Math.abs(row.residual) > limit ? "beyond" : "within",
    })),
  );
  const blocks = blockRanges(residuals);
  const x = measure("run", "Run order", {
    axis: { tickMinStep: 1, format: "d" },
    scale: { zero: false, nice: false },
  });
  const { names, rows } = nameRows(blocks);
  const y = measure("residual", `Residual: ${axisTitle(response).toLowerCase()}`, {
    scale: { zero: false, padding: (rows - 1) * NAME_ROW },
  });
  const line = (at: number, dash: readonly number[]): ChartPart => ({
    data: { values: [{ residual: at }] },
    mark: { type: "rule", strokeDash: dash },
    encoding: { y },
  });
  return chart({
    description:
      `Residuals of ${inWords(response.name)} in run order for ${counted(residuals.length, "coupon")} in ` +
      `${counted(blocks.length, "block")}; ${beyond.length} beyond ±${brief(limit)}.`,
    title: `${sentence(inWords(response.name))}: residuals in run order`,
    subtitle: [`Shading sets the blocks apart. Dashed: ±${withUnit(brief(limit), response.unit)}.`],
    body: {
      width: 520,
      height: 240,
      layer: [
        {
          data: { values: blocks },
          mark: { type: "rect", color: colours.muted.light },
          encoding: {
            x: { ...x, field: "from" },
            x2: { field: "to" },
            opacity: { field: "shade", type: "quantitative", scale: null },
          },
        },
        ...names.map(({ at, row, block, align }) => ({
          data: { values: [{ at, block }] },
          mark: {
            type: "text",
            align,
            baseline: "bottom",
            dx: align === "left" ? 3 : -3,
            dy: -3,
            color: colours.muted.light,
          },
          encoding: {
            x: { ...x, field: "at" },
            y: { value: row * NAME_ROW },
            text: { field: "block" },
          },
        })),
        line(0, []),
        line(limit, [5, 4]),
        line(-limit, [5, 4]),
        {
          data: values,
          mark: { type: "point" },
          encoding: {
            x,
            y,
            color: {
              field: "mark",
              type: "nominal",
              legend: null,
              scale: { domain: ["within", "beyond"], range: [colours.measured.light, colours.alarm.light] },
            },
            shape: {
              field: "mark",
              type: "nominal",
              legend: null,
              scale: { domain: ["within", "beyond"], range: ["circle", "diamond"] },
            },
          },
        },
        ...(beyond.length === 0
          ? []
          : [
              {
                data: values,
                transform: [{ filter: "datum.mark === 'beyond'" }],
                mark: { type: "text", align: "left", dx: 8 },
                encoding: { x, y, text: { field: "coupon" } },
              },
            ]),
      ],
    },
  });
}

/** Height of a row of names, px, and rows at most. */
const NAME_ROW = 14;
const MOST_ROWS = 4;
/** Width that names must stand clear of each other at, px: that of a phone. */
const NARROW = 300;

/**
 * Names of blocks in as many rows as keep them apart, from where a block begins, or up to where it ends for want of room; of
 * more blocks than that some go without.
 */
function nameRows(blocks: ReturnType<typeof blockRanges>) {
  const first = blocks[0]!.from;
  const scale = NARROW / (blocks.at(-1)!.to - first);
  const ends: number[] = [];
  const names = blocks.flatMap(({ block, from, to }) => {
    const width = textWidth(block) + 8;
    const align = (from - first) * scale + width > NARROW ? "right" : "left";
    const begin = align === "left" ? (from - first) * scale : Math.max(0, (to - first) * scale - width);
    const row = Array.from({ length: MOST_ROWS }, (_, k) => k).find((k) => (ends[k] ?? 0) <= begin);
    if (row === undefined) return [];
    ends[row] = begin + width;
    return [{ block, at: align === "left" ? from : to, row, align }];
  });
  return { names, rows: Math.max(1, ends.length) };
}

/** Stretches of run order that share a block, each from half a run before to half a run after. */
function blockRanges(residuals: ResidualChartData["residuals"]) {
  const ordered = [...residuals].sort((a, b) => a.run - b.run);
  const ranges: { block: string; from: number; to: number; shade: number }[] = [];
  for (const { block, run } of ordered) {
    const last = ranges.at(-1);
    if (last?.block === block) last.to = run + 0.5;
    else
      ranges.push({ block, from: last?.to ?? run - 0.5, to: run + 0.5, shade: ranges.length % 2 ? 0.12 : 0 });
  }
  return ranges;
}
