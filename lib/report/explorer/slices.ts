import { printedAxis } from "../../charts/index.js";
import type { Axis } from "../../design/index.js";
import { ownValue } from "../../errors/index.js";
import type { Settings } from "../../models/index.js";
import { inWords, percent, settingDigits } from "../../numeric/index.js";
import { withUnit } from "../../units/index.js";
import type { Explorer } from "../../window/index.js";
import { numberSide, type PlotSide, plotSvg, px } from "./plot.js";

/** The chance along one factor, the others as they stand. */
export interface Slice {
  readonly axis: Axis;
  readonly curve: readonly { readonly x: number; readonly chance: number }[];
  readonly here: { readonly x: number; readonly chance: number };
  /** Lowest and highest value of the coupons run; absent where none was. */
  readonly tried?: readonly [low: number, high: number];
}

/** Points along a slice, the present setting not counted. */
const POINTS = 41;

/** The chance along every factor that has numbers, through a setting. */
export function slicesThrough(explorer: Explorer, settings: Settings): readonly Omit<Slice, "tried">[] {
  const chance = explorer.chance(settings);
  return explorer.axes.flatMap((axis) => {
    if (axis.category) return [];
    const own = Number(ownValue(settings, axis.name));
    const spread = Array.from(
      { length: POINTS },
      (_, i) => axis.low + ((axis.high - axis.low) * i) / (POINTS - 1),
    );
    const xs = [...new Set([...spread, own])].sort((a, b) => a - b);
    const curve = xs.map((x) => ({
      x,
      chance: x === own ? chance : explorer.chance({ ...settings, [axis.name]: x }),
    }));
    return [{ axis, curve, here: { x: own, chance } }];
  });
}

/** Chances as a side of a plot. */
export const chanceSide: PlotSide = {
  low: 0,
  high: 1,
  title: "Chance",
  ticks: [0, 0.25, 0.5, 0.75, 1].map((at) => ({ at, text: percent(at) })),
};

/** A slice as SVG text, drawn to a size in px. */
export function sliceSvg(
  { axis, curve, here, tried }: Slice,
  {
    id,
    width,
    height,
    level,
  }: { readonly id: string; readonly width: number; readonly height: number; readonly level: number },
): string {
  return plotSvg({
    id,
    width,
    height,
    x: numberSide(printedAxis(axis), [axis.low, axis.high], width),
    y: chanceSide,
    description: `Chance to be good along ${inWords(axis.name)}, the other settings as chosen: ${percent(here.chance)} at ${withUnit(settingDigits(here.x), axis.unit)}.`,
    marks: ({ x, y }) => {
      const untried = (from: number, to: number): string =>
        to > from
          ? `<rect class="untried" x="${px(x(from))}" y="${px(y(1))}" width="${px(x(to) - x(from))}" height="${px(y(0) - y(1))}"/>`
          : "";
      const shaded =
        tried === undefined
          ? untried(axis.low, axis.high)
          : untried(axis.low, tried[0]) + untried(tried[1], axis.high);
      const path = curve.map((point) => `${px(x(point.x))},${px(y(point.chance))}`).join(" ");
      return [
        shaded,
        `<line class="level" x1="${px(x(axis.low))}" x2="${px(x(axis.high))}" y1="${px(y(level))}" y2="${px(y(level))}"/>`,
        `<polyline class="curve" points="${path}"/>`,
        `<line class="here" x1="${px(x(here.x))}" x2="${px(x(here.x))}" y1="${px(y(0))}" y2="${px(y(1))}"/>`,
        `<circle class="spot" cx="${px(x(here.x))}" cy="${px(y(here.chance))}" r="4.5"/>`,
      ].join("");
    },
  });
}
