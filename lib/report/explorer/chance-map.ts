import { chanceClasses, contourSegments, onCells, printedAxis } from "../../charts/index.js";
import type { Axis } from "../../design/index.js";
import { ownValue } from "../../errors/index.js";
import type { Settings } from "../../models/index.js";
import { inWords, percent } from "../../numeric/index.js";
import type { Explorer, TriedCoupon } from "../../window/index.js";
import { numberSide, plotSvg, px } from "./plot.js";

/** The chance over two factors, the others as they stand. */
export interface MapView {
  readonly x: Axis;
  readonly y: Axis;
  readonly xs: readonly number[];
  readonly ys: readonly number[];
  /** One row per y, one chance per x; null where a limit of the study forbids the setting. */
  readonly chance: readonly (readonly (number | null)[])[];
}

/** Settings along each side. */
const SIDE = 31;

/** The chance over the factors `x` and `y` about a setting. */
export function mapAbout(
  explorer: Explorer,
  settings: Settings,
  { x, y }: { readonly x: Axis; readonly y: Axis },
): MapView {
  const spread = ({ low, high }: Axis): readonly number[] =>
    Array.from({ length: SIDE }, (_, i) => low + ((high - low) * i) / (SIDE - 1));
  const [xs, ys] = [spread(x), spread(y)];
  return {
    x,
    y,
    xs,
    ys,
    chance: ys.map((atY) =>
      xs.map((atX) => {
        const there = { ...settings, [x.name]: atX, [y.name]: atY };
        return explorer.broken(there).length > 0 ? null : explorer.chance(there);
      }),
    ),
  };
}

/** Place of a chance among the classes of {@link chanceClasses}; -1 where it is forbidden. */
const classOf = (chance: number | null): number =>
  chance === null ? -1 : chanceClasses.findLastIndex(([from]) => chance >= from);

const colourOf = (place: number): string => (place < 0 ? onCells.forbidden : chanceClasses[place]![2]);

/** What the colours of a map mean, those that it shows: labels and colours. */
export function mapLegend({ chance }: MapView): readonly (readonly [label: string, colour: string])[] {
  const shown = new Set(chance.flat().map(classOf));
  return [
    ...(shown.has(-1) ? [["ruled out by a limit", onCells.forbidden] as const] : []),
    ...chanceClasses.flatMap(([, label, colour], i) => (shown.has(i) ? [[label, colour] as const] : [])),
  ];
}

/** What a map is drawn with. */
export interface MapDrawing {
  readonly width: number;
  readonly height: number;
  readonly level: number;
  readonly settings: Settings;
  readonly tried: readonly TriedCoupon[];
}

/** A map as SVG text: cells by class of chance, the line of the level, coupons, and the present setting. */
export function mapSvg(view: MapView, { width, height, level, settings, tried }: MapDrawing): string {
  const { x: xAxis, y: yAxis, xs, ys, chance } = view;
  const half = ({ low, high }: Axis): number => (high - low) / (SIDE - 1) / 2;
  const range = (axis: Axis): readonly [number, number] => [axis.low - half(axis), axis.high + half(axis)];
  const here = [Number(ownValue(settings, xAxis.name)), Number(ownValue(settings, yAxis.name))] as const;
  const side = numberSide(printedAxis(yAxis), range(yAxis), height);
  return plotSvg({
    id: "explorer-map",
    width,
    height,
    x: numberSide(printedAxis(xAxis), range(xAxis), width),
    y: side,
    description: `Chance to be good over ${inWords(xAxis.name)} and ${inWords(yAxis.name)}, the other settings as chosen, with the line of ${percent(level)}.`,
    marks: ({ x, y }) => {
      const [dx, dy] = [half(xAxis), half(yAxis)];
      const cells = chance.flatMap((row, j) =>
        runs(row.map(classOf)).map(([from, to, place]) => {
          const [left, right] = [x(xs[from]! - dx), x(xs[to]! + dx)];
          const [upper, lower] = [y(ys[j]! + dy), y(ys[j]! - dy)];
          return `<rect x="${px(left)}" y="${px(upper)}" width="${px(right - left + 0.4)}" height="${px(lower - upper + 0.4)}" fill="${colourOf(place)}"/>`;
        }),
      );
      const path = contourSegments({ x: xs, y: ys, z: chance, level })
        .map((s) => `M${px(x(s.x))} ${px(y(s.y))}L${px(x(s.x2))} ${px(y(s.y2))}`)
        .join("");
      const coupons = tried.flatMap(({ settings: own, verdict }) => {
        const [cx, cy] = [x(Number(ownValue(own, xAxis.name))), y(Number(ownValue(own, yAxis.name)))];
        if (verdict === "passed")
          return [
            `<circle cx="${px(cx)}" cy="${px(cy)}" r="4.5" fill="${onCells.light}" stroke="${onCells.dark}"/>`,
          ];
        const arm = `M${px(cx - 4)} ${px(cy - 4)}l8 8m0 -8l-8 8`;
        return verdict === "failed"
          ? [
              `<path d="${arm}" fill="none" stroke="${onCells.light}" stroke-width="5"/><path d="${arm}" fill="none" stroke="#d55e00" stroke-width="2.6"/>`,
            ]
          : [];
      });
      const [hx, hy] = [x(here[0]), y(here[1])];
      return [
        ...cells,
        `<path d="${path}" fill="none" stroke="${onCells.light}" stroke-width="4" stroke-linecap="round"/>`,
        `<path d="${path}" fill="none" stroke="${onCells.dark}" stroke-width="1.6" stroke-linecap="round"/>`,
        ...coupons,
        `<path d="M${px(hx)} ${px(hy - 9)}l9 9l-9 9l-9 -9z" fill="${onCells.mark}" stroke="${onCells.dark}" stroke-width="1.8"/>`,
      ].join("");
    },
  });
}

/** Neighbours in a row that are alike, as first, last, and what they are. */
function runs(row: readonly number[]): readonly (readonly [from: number, to: number, value: number])[] {
  const found: [number, number, number][] = [];
  row.forEach((value, i) => {
    const last = found.at(-1);
    if (last !== undefined && last[2] === value) last[1] = i;
    else found.push([i, i, value]);
  });
  return found;
}
