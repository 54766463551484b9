import { requireNumber } from "../errors/index.js";
import { brief, counted, inWords, sentence } from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import { keyOf, namesBeside } from "./point-names.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  measure,
  requireRows,
} from "./spec.js";
import { textWidth } from "./text-width.js";
import { colours } from "./theme.js";
import { thinned } from "./thinned.js";

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
  const marked = residuals.map((row) => ({
    ...row,
    mark: Math.abs(row.residual) > limit ? "beyond" : "within",
  }));
  const { drawn, said } = thinned(marked, { notable: ({ mark }) => mark === "beyond" });
  requireRows("chartResiduals", "residuals", marked);
  const values = inline("chartResiduals", "residuals", drawn);
  const blocks = blockRanges(residuals);
  const x = measure("run", "Run order", {
    axis: { tickMinStep: 1, format: "d" },
    scale: { zero: false, nice: false },
  });
  const named = blockNames(blocks);
  const y = measure("residual", `Residual: ${axisTitle(response).toLowerCase()}`);
  const heights = [limit, -limit, ...residuals.map(({ residual }) => residual)];
  const names = namesBeside(
    beyond.map(({ coupon, run, residual }) => ({
      name: coupon,
      x: run,
      y: residual,
      side: run > (blocks[0]!.from + blocks.at(-1)!.to) / 2 ? "left" : "right",
    })),
    { x: [blocks[0]!.from, blocks.at(-1)!.to], y: [Math.min(...heights), Math.max(...heights)] },
    { x, y },
  );
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
    subtitle: [
      `Shading sets the blocks apart. Dashed: ±${withUnit(brief(limit), response.unit)}.`,
      ...named.key,
      ...names.key,
      ...said,
    ],
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
        // Of many blocks none may have room for its name.
        ...(named.marks.length === 0
          ? []
          : [
              {
                data: { values: named.marks },
                mark: { type: "text", baseline: "bottom", dy: -3, color: colours.muted.light },
                encoding: { x: { ...x, field: "at" }, y: { value: 0 }, text: { field: "text" } },
              },
            ]),
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
        ...names.layers,
      ],
    },
  });
}

/** Width of the plot that names of blocks must find room in, px: that of a phone. */
const NARROW = 230;

/**
 * Blocks by their names where each has room in its own stretch, else by letters that a key tells; a block narrower than its
 * letter goes without.
 */
function blockNames(blocks: ReturnType<typeof blockRanges>) {
  const scale = NARROW / (blocks.at(-1)!.to - blocks[0]!.from);
  const marked = (texts: readonly string[]) =>
    blocks
      .map(({ from, to }, i) => ({ at: (from + to) / 2, text: texts[i]!, room: (to - from) * scale }))
      .filter(({ text, room }) => textWidth(text) + 4 <= room)
      .map(({ at, text }) => ({ at, text }));
  const whole = marked(blocks.map(({ block }) => block));
  if (whole.length === blocks.length) return { marks: whole, key: [] };
  const distinct = [...new Set(blocks.map(({ block }) => block))];
  const letters = marked(blocks.map(({ block }) => letterOf(distinct.indexOf(block))));
  return { marks: letters, key: [keyOf(distinct, letterOf)] };
}

/** A, B, ... Z, A2, B2 and on. */
const letterOf = (i: number): string =>
  `${String.fromCharCode(65 + (i % 26))}${i < 26 ? "" : Math.floor(i / 26) + 1}`;

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
