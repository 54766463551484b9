import type { ChartPart } from "./spec.js";
import { textWidth } from "./text-width.js";

/** A point with its name, and the side of it where there is most room. */
export interface NamedPoint {
  readonly name: string;
  readonly x: number;
  readonly y: number;
  readonly side: "left" | "right";
}

/** Names beside points, as layers of a chart, and what the marks of them mean where names are too long to stand there. */
export interface NamesBeside {
  readonly layers: readonly ChartPart[];
  readonly key: readonly string[];
}

/** The plot that names must stand clear of each other in, px: that of a phone, where it is smallest. */
const PLOT = { width: 230, height: 150 } as const;
/** A name wider than this is given a number, px. */
const WIDEST = 60;
/** Names that a key tells at most. */
const MOST_TOLD = 12;
/** Distance of a name from the middle of its point, and its height, px. */
const AWAY = 8;
const HIGH = 13;

const places = {
  right: { align: "left", dx: AWAY, dy: 0 },
  left: { align: "right", dx: -AWAY, dy: 0 },
  above: { align: "center", dx: 0, dy: -AWAY - 4 },
  below: { align: "center", dx: 0, dy: AWAY + 5 },
} as const;
type Side = keyof typeof places;

/**
 * Names beside points so that none is written over another: on the side wished for, else on another that is free; a name
 * with none goes without. As soon as one is long they are numbered instead, and a key tells them.
 *
 * @param points - those to be named
 * @param extent - lowest and highest of each axis
 * @param encode - encoding of the layers, `x` and `y` from fields of these names
 */
export function namesBeside(
  points: readonly NamedPoint[],
  extent: { readonly x: readonly [number, number]; readonly y: readonly [number, number] },
  encode: { readonly x: ChartPart; readonly y: ChartPart },
): NamesBeside {
  const numbered = points.some(({ name }) => textWidth(name) > WIDEST);
  const taken: Box[] = [];
  const placed = points.flatMap(({ name, x, y, side }, i) => {
    const text = numbered ? String(i + 1) : name;
    const at = { x: share(x, extent.x) * PLOT.width, y: (1 - share(y, extent.y)) * PLOT.height };
    const sides: readonly Side[] = [side, side === "left" ? "right" : "left", "above", "below"];
    const free = sides
      .map((one) => ({ side: one, box: boxOf(text, at, one) }))
      .find(({ box }) => !taken.some((other) => cross(box, other)));
    if (free === undefined) return [];
    taken.push(free.box);
    return [{ x, y, text, side: free.side }];
  });
  const layers = (Object.keys(places) as Side[]).flatMap((side) => {
    const values = placed.filter((one) => one.side === side).map(({ x, y, text }) => ({ x, y, text }));
    if (values.length === 0) return [];
    const at = (channel: "x" | "y"): ChartPart => ({ ...encode[channel], field: channel });
    return [
      {
        data: { values },
        mark: { type: "text", ...places[side] },
        encoding: { x: at("x"), y: at("y"), text: { field: "text" } },
      },
    ];
  });
  return { layers, key: numbered ? [keyOf(points.map(({ name }) => name))] : [] };
}

/** `1 the one, 2 the other.`, of many the first. */
export function keyOf(names: readonly string[], mark = (i: number): string => String(i + 1)): string {
  const told = names.slice(0, MOST_TOLD).map((name, i) => `${mark(i)} ${name}`);
  const rest = names.length - told.length;
  return `${told.join(", ")}${rest > 0 ? `, and ${rest} more` : ""}.`;
}

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

function boxOf(text: string, at: { readonly x: number; readonly y: number }, side: Side): Box {
  const { align, dx, dy } = places[side];
  const wide = textWidth(text) + 2;
  const left = at.x + dx - (align === "left" ? 0 : align === "right" ? wide : wide / 2);
  return { left, right: left + wide, top: at.y + dy - HIGH / 2, bottom: at.y + dy + HIGH / 2 };
}

const cross = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

const share = (value: number, [low, high]: readonly [number, number]): number =>
  high > low ? (value - low) / (high - low) : 0.5;
