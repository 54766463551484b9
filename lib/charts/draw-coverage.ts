import { type Axis, makeAxes, meetsLimits } from "../design/index.js";
import { grouped, ownValue } from "../errors/index.js";
import { settingLimits } from "../models/index.js";
import { randomStream } from "../numeric/index.js";
import type { Coupon, StudyData } from "../study/index.js";
import {
  type CouponStage,
  type CoverageAxis,
  type CoverageChartData,
  type CoverageField,
  type CoveragePair,
  chartCoverage,
} from "./coverage.js";
import type { ChartSpec } from "./spec.js";

/** Fields a range is cut into; a setting with no more values than this has one field each. */
const FIELDS = 3;
/** Pairs shown at most: those of six settings. */
const MOST_PAIRS = 15;
/** Settings drawn at random to see which fields the limits leave. */
const TRIED = 4096;

const stages: Readonly<Record<Coupon["state"], CouponStage>> = {
  logged: "run",
  planned: "planned",
  voided: "voided",
};

/**
 * How a study's coupons fill the room of its settings, over every two of them: each range is cut into thirds, a category or
 * a setting of few values into these. A field is empty where no coupon was run or is planned, and barred where the study's
 * limits leave none of some hundred settings drawn at random in it. Voided coupons fill nothing.
 */
export function coverageOf({ definition, coupons }: StudyData): CoverageChartData {
  const axes = makeAxes(definition.factors);
  const cut = axes.map((axis) => ({ axis, ...cutUp(axis) }));
  const limits = settingLimits({ definition });
  const stream = randomStream(definition.seed).split("coverage");
  const allowed = Array.from({ length: TRIED }, () =>
    axes.map(({ values }) => values[stream.integer(0, values.length - 1)]!),
  ).filter((point) => meetsLimits(limits, Object.fromEntries(axes.map(({ name }, j) => [name, point[j]!]))));
  const pairOf = (j: number, k: number | undefined): CoveragePair => {
    const x = cut[j]!;
    const y = k === undefined ? undefined : cut[k]!;
    const at = (coupon: Coupon): readonly [number, number] => [
      x.place(ownValue(coupon.settings, x.axis.name)!),
      y === undefined ? 0 : y.place(ownValue(coupon.settings, y.axis.name)!),
    ];
    const key = (px: number, py: number): string => `${x.field(px)}/${y === undefined ? 0 : y.field(py)}`;
    const filled = new Set(
      coupons.filter(({ state }) => state !== "voided").map((coupon) => key(...at(coupon))),
    );
    const open = new Set(
      allowed.map((point) => key(x.place(point[j]!), y === undefined ? 0 : y.place(point[k!]!))),
    );
    const fields = x.shown.edges
      .slice(1)
      .flatMap((_, a) => (y?.shown.edges.slice(1) ?? [0]).map((_, b): CoverageField => [a, b]));
    const unfilled = fields.filter(([a, b]) => !filled.has(`${a}/${b}`));
    const isOpen = ([a, b]: CoverageField): boolean => open.has(`${a}/${b}`);
    return {
      x: x.shown,
      ...(y === undefined ? {} : { y: y.shown }),
      places: placesOf(coupons, at),
      empty: unfilled.filter(isOpen),
      barred: unfilled.filter((field) => !isOpen(field)),
    };
  };
  const pairs =
    axes.length === 1
      ? [pairOf(0, undefined)]
      : axes.flatMap((_, k) => axes.slice(0, k).map((_, j) => pairOf(j, k)));
  const emptiest = [...pairs].sort((a, b) => b.empty.length - a.empty.length).slice(0, MOST_PAIRS);
  return { pairs: pairs.filter((pair) => emptiest.includes(pair)), of: pairs.length };
}

/** Where coupons were run and are planned over every two settings of a study, and where none was: {@link coverageOf}. */
export function drawCoverage(study: StudyData): ChartSpec {
  return chartCoverage(coverageOf(study));
}

/** A setting cut into fields: what is drawn of it, the place of a value on it, and the field of a place (-1 for none). */
interface CutAxis {
  readonly shown: CoverageAxis;
  readonly place: (value: number | string) => number;
  readonly field: (place: number) => number;
}

function cutUp({ name, unit, category, low, high, values }: Axis): CutAxis {
  const places = values.map((value, i) => (category ? i : Number(value)));
  const thirds = Array.from({ length: FIELDS + 1 }, (_, i) => low + ((high - low) * i) / FIELDS);
  const edges = category || places.length <= FIELDS ? between(places) : thirds;
  return {
    shown: { name, unit, edges, ...(category ? { names: values.map(String) } : {}) },
    place: (value) => (category ? values.indexOf(value) : Number(value)),
    field: (place) => {
      const last = edges.length - 2;
      if (!(place >= edges[0]! && place <= edges[last + 1]!)) return -1;
      return Math.min(
        last,
        edges.findLastIndex((edge) => edge <= place),
      );
    },
  };
}

/** Edges half-way between places, the outer ones as far out as the next is in. */
function between(places: readonly number[]): readonly number[] {
  const half = places.length === 1 ? 0.5 : (places[1]! - places[0]!) / 2;
  const last = places.length === 1 ? 0.5 : (places.at(-1)! - places.at(-2)!) / 2;
  return [
    places[0]! - half,
    ...places.slice(1).map((place, i) => (place + places[i]!) / 2),
    places.at(-1)! + last,
  ];
}

/** Places of coupons, each once; those of a setting that is none of its category stand nowhere. */
function placesOf(
  coupons: readonly Coupon[],
  at: (coupon: Coupon) => readonly [number, number],
): CoveragePair["places"] {
  const shown = coupons.filter((coupon) => at(coupon).every(Number.isFinite));
  return [...grouped(shown, (coupon) => `${at(coupon).join("/")}/${coupon.state}`).values()].map((group) => {
    const [x, y] = at(group[0]!);
    return { x, y, stage: stages[group[0]!.state], coupons: group.map(({ id }) => id) };
  });
}
