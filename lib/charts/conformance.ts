import { requireNumber, requireThat } from "../errors/index.js";
import { counted, inWords, settingDigits } from "../numeric/index.js";
import { contourSegments } from "./contour.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  levelText,
  printedUnit,
} from "./spec.js";
import { chanceClasses, onCells } from "./theme.js";
import { thinned } from "./thinned.js";

/** What {@link chartConformance} draws. */
export interface ConformanceChartData {
  readonly xSetting: ChartQuantity;
  readonly ySetting: ChartQuantity;
  /** Ascending grid positions. */
  readonly x: readonly number[];
  readonly y: readonly number[];
  /** Chance that a coupon meets all specifications, `chance[row of y][column of x]`; `null` where limits forbid. */
  readonly chance: readonly (readonly (number | null)[])[];
  /** Level of the contour, between 0 and 1. */
  readonly level: number;
  readonly coupons: readonly {
    readonly coupon: string;
    readonly x: number;
    readonly y: number;
    readonly passed: boolean;
  }[];
  readonly recommended?: { readonly x: number; readonly y: number };
  /** Settings held constant in this cut. */
  readonly held?: readonly {
    readonly name: string;
    readonly value: number | string;
    readonly unit: string;
  }[];
}

/** What a cell is called that no setting may fall into. */
const forbidden = "ruled out by a limit";

/**
 * Chance of conformance over two settings: cells coloured by class of chance, the contour at a stated
 * level, coupons as passed or failed, the recommended setting. The rest of the settings is held: a coupon
 * run elsewhere in those may fail inside the contour or pass outside it.
 *
 * @throws {BeadbenchError} `bad-argument` when the grid does not match, or a chance is outside [0, 1]
 */
export function chartConformance(data: ConformanceChartData): ChartSpec {
  const { coupons, recommended, held = [] } = data;
  const level = requireNumber("chartConformance: level", data.level, { above: 0, below: 1 });
  const cells = mergedCells(data);
  const contour = contourSegments({ x: data.x, y: data.y, z: data.chance, level });
  const shown = chanceClasses
    .map(([, name]) => name)
    .filter((name) => cells.some((cell) => cell.chance === name));
  const legend = cells.some((cell) => cell.chance === forbidden) ? [forbidden, ...shown] : shown;
  const fill = new Map<string, string>([
    [forbidden, onCells.forbidden],
    ...chanceClasses.map(([, name, colour]) => [name, colour] as const),
  ]);
  const color = {
    field: "chance",
    type: "nominal",
    title: "Chance to conform",
    scale: { domain: legend, range: legend.map((name) => fill.get(name)!) },
    legend: { symbolType: "square", symbolSize: 140, symbolStrokeWidth: 0, symbolOpacity: 1 },
  };
  const channel = (field: string, quantity: ChartQuantity, edges: readonly number[]): ChartPart => ({
    field,
    type: "quantitative",
    title: axisTitle(quantity),
    scale: { domain: [edges[0], edges.at(-1)], nice: false, zero: false },
    axis: { grid: false },
  });
  const x = channel("x", data.xSetting, cellEdges(data.x));
  const y = channel("y", data.ySetting, cellEdges(data.y));
  const failed = coupons.filter((coupon) => !coupon.passed).length;
  const heldText = held.map(({ name, value, unit }) =>
    `${inWords(name)} ${typeof value === "number" ? settingDigits(value) : value} ${printedUnit(unit)}`.trim(),
  );
  const layers: ChartPart[] = [
    {
      data: { values: cells },
      mark: { type: "rect", strokeWidth: 1 },
      encoding: { x, x2: { field: "x2" }, y, y2: { field: "y2" }, color, stroke: color },
    },
  ];
  if (contour.length > 0) {
    // Dark on a light casing, to be seen on every cell colour.
    for (const [color, strokeWidth] of [
      [onCells.light, 4],
      [onCells.dark, 1.6],
    ]) {
      layers.push({
        data: { values: contour },
        mark: { type: "rule", color, strokeWidth, strokeCap: "round" },
        encoding: { x, y, x2: { field: "x2" }, y2: { field: "y2" } },
      });
    }
  }
  if (coupons.length > 0) layers.push(couponMarks(coupons, x, y));
  if (recommended !== undefined) {
    layers.push({
      data: inline("chartConformance", "recommended", [recommended]),
      mark: {
        type: "point",
        shape: "diamond",
        size: 210,
        fill: onCells.mark,
        stroke: onCells.dark,
        strokeWidth: 1.8,
      },
      encoding: { x, y },
    });
  }
  return chart({
    description:
      `Chance to conform over ${inWords(data.xSetting.name)} and ${inWords(data.ySetting.name)}, with the ${levelText(level)} contour; ` +
      `${counted(coupons.length, "coupon")}, ${failed} failed` +
      (recommended === undefined
        ? "."
        : `; recommended: ${settingDigits(recommended.x)} ${printedUnit(data.xSetting.unit)} and ` +
          `${settingDigits(recommended.y)} ${printedUnit(data.ySetting.unit)}.`),
    title: "Chance to conform",
    subtitle: [
      `Line: ${levelText(level)} contour.${recommended === undefined ? "" : " Yellow diamond: recommended setting."}`,
      ...(heldText.length === 0 ? [] : [`Held: ${heldText.join(", ")}.`]),
      ...thinned(coupons).said,
    ],
    body: {
      width: 400,
      height: 320,
      layer: layers,
      resolve: { scale: { color: "independent", stroke: "independent" } },
    },
  });
}

function couponMarks(coupons: ConformanceChartData["coupons"], x: ChartPart, y: ChartPart): ChartPart {
  const rows = thinned(coupons).drawn.map(({ coupon, x, y, passed }) => ({
    coupon,
    x,
    y,
    result: passed ? "passed" : "failed",
  }));
  const domain = ["passed", "failed"];
  const channel = (range: readonly string[]): ChartPart => ({
    field: "result",
    type: "nominal",
    title: "Coupon",
    scale: { domain, range },
  });
  return {
    data: inline("chartConformance", "coupons", rows),
    mark: { type: "point", size: 75, stroke: onCells.dark, strokeWidth: 1.2 },
    encoding: { x, y, fill: channel([onCells.light, "#d55e00"]), shape: channel(["circle", "cross"]) },
  };
}

/** Borders half-way between grid positions, and as far outside the first and last. */
function cellEdges(at: readonly number[]): readonly number[] {
  const middle = at.slice(1).map((value, i) => (value + at[i]!) / 2);
  return [2 * at[0]! - middle[0]!, ...middle, 2 * at.at(-1)! - middle.at(-1)!];
}

/** Cells of the map; neighbours in a row that fall into the same class become one. */
function mergedCells(data: ConformanceChartData) {
  const { x, y, chance } = data;
  for (const [axis, at] of [
    ["x", x],
    ["y", y],
  ] as const) {
    requireThat(
      at.length >= 2 && at.every((value, i) => Number.isFinite(value) && (i === 0 || value > at[i - 1]!)),
      `chartConformance: ${axis} must be at least two ascending numbers`,
    );
  }
  requireThat(
    chance.length === y.length && chance.every((row) => row.length === x.length),
    `chartConformance: chance needs ${y.length} rows of ${x.length}, one per grid position`,
  );
  const [xEdges, yEdges] = [cellEdges(x), cellEdges(y)];
  return chance.flatMap((row, j) => {
    const cells: { x: number; x2: number; y: number; y2: number; chance: string }[] = [];
    row.forEach((value, i) => {
      const name = value === null ? forbidden : chanceClass(value, `chance[${j}][${i}]`);
      const last = cells.at(-1);
      if (last?.chance === name) last.x2 = xEdges[i + 1]!;
      else cells.push({ x: xEdges[i]!, x2: xEdges[i + 1]!, y: yEdges[j]!, y2: yEdges[j + 1]!, chance: name });
    });
    return cells;
  });
}

function chanceClass(value: number, where: string): string {
  requireNumber(`chartConformance: ${where}`, value, { min: 0, max: 1 });
  return chanceClasses.filter(([from]) => value >= from).at(-1)![1];
}
