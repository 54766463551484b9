import { requireThat } from "../errors/index.js";
import { brief, counted, inWords } from "../numeric/index.js";
import { withUnit } from "../units/index.js";
import {
  axisTitle,
  type ChartPart,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  labelsAt,
} from "./spec.js";
import { colours } from "./theme.js";
import { thinned } from "./thinned.js";

/** Whether a coupon was run, is still planned, or was run and must not be used. */
export type CouponStage = "run" | "planned" | "voided";

/** One setting of {@link CoverageChartData}, cut into fields. */
export interface CoverageAxis extends ChartQuantity {
  /** Edges of the fields, ascending; of a category half-way between the places of its names. */
  readonly edges: readonly number[];
  /** Names of a category, at 0, 1, 2 and so on. */
  readonly names?: readonly string[];
}

/** Two settings against each other. */
export interface CoveragePair {
  readonly x: CoverageAxis;
  /** Absent where the study has one setting only. */
  readonly y?: CoverageAxis;
  /** Each place once, with the coupons there. */
  readonly places: readonly {
    readonly x: number;
    readonly y: number;
    readonly stage: CouponStage;
    readonly coupons: readonly string[];
  }[];
  /** Fields by number along x and along y, from 0. */
  readonly empty: readonly CoverageField[];
  /** Fields in which the study's limits allow hardly a setting. */
  readonly barred: readonly CoverageField[];
}

export type CoverageField = readonly [x: number, y: number];

/** What {@link chartCoverage} draws. */
export interface CoverageChartData {
  readonly pairs: readonly CoveragePair[];
  /** How many pairs there are, where not all are shown. */
  readonly of?: number;
}

const looks: Readonly<Record<CouponStage, ChartPart>> = {
  run: { shape: "circle", filled: true, color: colours.model.light, opacity: 0.85 },
  planned: { shape: "diamond", filled: false, color: colours.measured.light, strokeWidth: 1.6 },
  voided: { shape: "triangle-down", filled: false, color: colours.muted.light, strokeWidth: 1.6 },
};
const words: Readonly<Record<CouponStage, string>> = {
  run: "Filled: run.",
  planned: "Open diamond: planned.",
  voided: "Triangle: voided.",
};

/**
 * Where coupons were run and are planned, over every two settings, with the fields in which none lies dashed and those a
 * limit rules out in grey. Two settings at a time: room may be left between three that no panel shows.
 *
 * @throws {BeadbenchError} `bad-argument` without a pair of settings or when a number is not finite
 */
export function chartCoverage({ pairs, of: all = pairs.length }: CoverageChartData): ChartSpec {
  requireThat(pairs.length > 0, "chartCoverage: needs at least one pair of settings, got none");
  const { empty, fields } = coverageCounts(pairs);
  const barred = pairs.some((pair) => pair.barred.length > 0);
  const stages = (["run", "planned", "voided"] as const).filter((stage) =>
    pairs.some(({ places }) => places.some((place) => place.stage === stage)),
  );
  const mostPlaces = stages
    .flatMap((stage) => pairs.map(({ places }) => places.filter((place) => place.stage === stage)))
    .reduce<CoveragePair["places"]>((a, b) => (b.length > a.length ? b : a), []);
  const told = `${empty} of ${counted(fields, "field")} hold no coupon`;
  return chart({
    description:
      `Coupons over ${counted(pairs.length, "pair")} of settings: ${told}. ${gapsText(pairs, 3)}`.trim(),
    title: "Where coupons were run",
    subtitle: [
      `${told}${empty === 0 ? "" : " (dashed)"}.${barred ? " Grey: ruled out by a limit." : ""}`,
      [...stages.map((stage) => words[stage]), "Larger: several coupons."].join(" "),
      ...(all > pairs.length ? [`${pairs.length} of ${all} pairs, those with most room left.`] : []),
      ...thinned(mostPlaces, { row: "place" }).said,
    ],
    body: {
      columns: pairs.length === 1 ? 1 : 3,
      concat: pairs.map((pair) => panel(pair, pairs.length === 1)),
    },
  });
}

/** Fields without a coupon, of all that a limit leaves, over all pairs. */
export function coverageCounts(pairs: readonly CoveragePair[]): {
  readonly empty: number;
  readonly fields: number;
} {
  const fieldsOf = ({ x, y }: CoveragePair): number => (x.edges.length - 1) * ((y?.edges.length ?? 2) - 1);
  return {
    empty: pairs.reduce((sum, pair) => sum + pair.empty.length, 0),
    fields: pairs.reduce((sum, pair) => sum + fieldsOf(pair) - pair.barred.length, 0),
  };
}

/** Up to so many fields without a coupon, in words; nothing where every field holds one. */
export function gapsText(pairs: readonly CoveragePair[], most: number): string {
  const gaps = pairs.flatMap(({ x, y, empty }) =>
    empty.map(([i, j]) => [partText(x, i), ...(y === undefined ? [] : [partText(y, j)])].join(" with ")),
  );
  if (gaps.length === 0) return "";
  const more = gaps.length > most ? `, and ${counted(gaps.length - most, "field")} more` : "";
  return `No coupon at ${gaps.slice(0, most).join("; ")}${more}.`;
}

function partText({ name, unit, edges, names }: CoverageAxis, i: number): string {
  if (names !== undefined) return `${inWords(name)} ${names[i]}`;
  return `${inWords(name)} ${withUnit(`${brief(edges[i]!, 4)} to ${brief(edges[i + 1]!, 4)}`, unit)}`;
}

function panel({ x, y, places, empty, barred }: CoveragePair, alone: boolean): ChartPart {
  const ofX = channel(
    x,
    places.map((place) => place.x),
  );
  const ofY = channel(
    y,
    places.map((place) => place.y),
  );
  const cells = (fields: readonly CoverageField[]): object[] =>
    fields.map(([i, j]) => ({
      x: x.edges[i]!,
      x2: x.edges[i + 1]!,
      y: y?.edges[j] ?? 0,
      y2: y?.edges[j + 1] ?? 1,
    }));
  const rects = (what: string, fields: readonly CoverageField[], mark: ChartPart): ChartPart[] =>
    fields.length === 0
      ? []
      : [
          {
            data: inline("chartCoverage", what, cells(fields)),
            mark: { type: "rect", ...mark },
            encoding: { x: ofX("x"), x2: { field: "x2" }, y: ofY("y"), y2: { field: "y2" } },
          },
        ];
  const dots = (["voided", "run", "planned"] as const).flatMap((stage): ChartPart[] => {
    const rows = thinned(places.filter((place) => place.stage === stage)).drawn.map((place) => ({
      x: place.x,
      y: y === undefined ? 0.5 : place.y,
      coupons: place.coupons.length,
    }));
    return rows.length === 0
      ? []
      : [
          {
            data: inline("chartCoverage", `${stage} coupons`, rows),
            mark: { type: "point", ...looks[stage] },
            encoding: {
              x: ofX("x"),
              y: ofY("y"),
              size: {
                field: "coupons",
                type: "quantitative",
                legend: null,
                scale: { type: "sqrt", domain: [1, 16], range: [36, 220], clamp: true },
              },
            },
          },
        ];
  });
  return {
    width: alone ? 420 : 200,
    height: y === undefined ? 60 : alone ? 260 : 150,
    layer: [
      ...rects("barred fields", barred, { color: colours.muted.light, opacity: 0.28 }),
      ...rects("empty fields", empty, {
        fill: colours.alarm.light,
        fillOpacity: 0.13,
        stroke: colours.alarm.light,
        strokeWidth: 1.2,
        strokeDash: [4, 3],
      }),
      // What no panel may lack: axes over the whole of both settings, also without a coupon.
      ...rects("the whole", [[0, 0]], { opacity: 0 }),
      ...dots,
    ],
  };
}

/** The channel of a setting, over its range and any coupon beyond it. */
function channel(axis: CoverageAxis | undefined, places: readonly number[]): (field: string) => ChartPart {
  if (axis === undefined)
    return (field) => ({ field, type: "quantitative", title: null, axis: null, scale: { domain: [0, 1] } });
  const { edges, names } = axis;
  const domain = [Math.min(edges[0]!, ...places), Math.max(edges.at(-1)!, ...places)];
  return (field) => ({
    field,
    type: "quantitative",
    title: axisTitle(axis),
    scale: { domain, nice: false, zero: false, padding: 7 },
    axis: { grid: false, ...(names === undefined ? { tickCount: 5 } : labelsAt(names, 0)) },
  });
}
