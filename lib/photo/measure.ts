import { requireNumber } from "../errors/index.js";
import { chordDoubt, outlineArea } from "./outline.js";
import { type Corners, type Plane, type Point, planeOfLength, planeOfRectangle } from "./plane.js";
import { widthsBetween } from "./widths.js";

/** What gives a picture its scale: a known length seen square on, or a known rectangle seen at any angle. */
export type PhotoScale =
  | {
      readonly kind: "length";
      readonly points: readonly [Point, Point];
      /** mm. */
      readonly length: number;
      /** Standard deviation of what is known of it, mm. */
      readonly sd: number;
    }
  | {
      readonly kind: "rectangle";
      readonly points: Corners;
      /** mm. */
      readonly width: number;
      /** mm. */
      readonly height: number;
      /** Standard deviation of what is known of each side, mm. */
      readonly sd: number;
    };

/** How a picture is read. */
export interface PhotoReading {
  readonly scale: PhotoScale;
  /** Standard deviation of a point that was set, across each axis, px: how sharply the edge is seen and hit. */
  readonly clickSd: number;
}

/** A value read from a picture. */
export interface PhotoMeasure {
  /** mm or mm2. */
  readonly value: number;
  /** Standard deviation of its measuring error, in the same unit: all parts together. */
  readonly sd: number;
  /** Its parts: points of what is measured, points and size of the scale, corners cut by a traced outline. */
  readonly parts: { readonly clicks: number; readonly scale: number; readonly shape: number };
}

/**
 * Widths (or heights) between two edges at several stations, each with its measuring error, and their mean. The stations
 * share the error of the scale, so that the mean is not surer than that.
 *
 * The error holds what a hand and a rule can do: points set with `clickSd`, and what is known of the scale, carried through
 * by first derivatives. It does not hold a scale in another plane than the edge, a bent lens, or an edge that was mistaken
 * for another.
 *
 * @param edges - points on each edge, px
 * @throws {BeadbenchError} `bad-argument` for a scale that is none, or edges that do not run beside each other
 */
export function measureWidths(
  reading: PhotoReading,
  edges: readonly [readonly Point[], readonly Point[]],
  stations: number,
): { readonly stations: readonly PhotoMeasure[]; readonly mean: PhotoMeasure } {
  const split = edges[0].length;
  const all = propagate(reading, [...edges[0], ...edges[1]], (points) => {
    const widths = widthsBetween([points.slice(0, split), points.slice(split)], stations);
    return [...widths, widths.reduce((sum, width) => sum + width, 0) / stations];
  });
  return { stations: all.slice(0, stations), mean: all[stations]! };
}

/**
 * Area inside a traced outline with its measuring error, to which the corners that straight sides cut off a curve belong:
 * trace curves with many points.
 *
 * @param outline - points in order round it, px
 * @throws {BeadbenchError} `bad-argument` for a scale that is none, fewer than three points, or an outline that crosses itself
 */
export function measureArea(reading: PhotoReading, outline: readonly Point[]): PhotoMeasure {
  const [area] = propagate(reading, outline, (points) => [outlineArea(points)]) as [PhotoMeasure];
  const shape = chordDoubt(outline.map(planeOf(reading.scale)));
  return { ...area, sd: Math.hypot(area.sd, shape), parts: { ...area.parts, shape } };
}

/** The plane that a scale gives. */
export function planeOf(scale: PhotoScale): Plane {
  requireNumber("the doubt about the known length", scale.sd, { min: 0, unit: "mm" });
  return scale.kind === "length"
    ? planeOfLength(scale.points, scale.length)
    : planeOfRectangle(scale.points, scale);
}

/** Share of a standard deviation by which an input is moved to find what a value answers. */
const STEP = 0.1;

/** Values computed of points in the plane, with their errors by first derivatives. */
function propagate(
  { scale, clickSd }: PhotoReading,
  marks: readonly Point[],
  compute: (points: readonly Point[]) => readonly number[],
): readonly PhotoMeasure[] {
  requireNumber("the doubt of a point", clickSd, { above: 0, unit: "px" });
  const valuesOf = (points: readonly Point[], own: PhotoScale): readonly number[] =>
    compute(points.map(planeOf(own)));
  const values = valuesOf(marks, scale);
  const effect = (low: readonly number[], high: readonly number[]): readonly number[] =>
    low.map((value, k) => (high[k]! - value) / (2 * STEP));
  const ofPoints = (at: (points: readonly Point[]) => readonly number[], points: readonly Point[]) =>
    points.flatMap((_, k) =>
      (["x", "y"] as const).map((axis) => effect(...sides((by) => at(moved(points, k, axis, by * clickSd))))),
    );
  const clicks = ofPoints((points) => valuesOf(points, scale), marks);
  const scaled = [
    ...ofPoints((points) => valuesOf(marks, { ...scale, points } as PhotoScale), scale.points),
    ...sizesOf(scale).map((size) =>
      effect(...sides((by) => valuesOf(marks, { ...scale, [size]: sizeOf(scale, size) + by * scale.sd }))),
    ),
  ];
  return values.map((value, k) => {
    const spread = (effects: readonly (readonly number[])[]): number =>
      Math.hypot(...effects.map((one) => one[k]!));
    const parts = { clicks: spread(clicks), scale: spread(scaled), shape: 0 };
    return { value, sd: Math.hypot(parts.clicks, parts.scale), parts };
  });
}

/** What comes out when an input is moved down and up. */
const sides = (at: (by: number) => readonly number[]): readonly [readonly number[], readonly number[]] => [
  at(-STEP),
  at(STEP),
];

// biome-ignore lint/complexity/useMaxParams: a point, its axis and a step are one small change
function moved(points: readonly Point[], k: number, axis: "x" | "y", by: number): readonly Point[] {
  return points.map((point, i) => (i === k ? { ...point, [axis]: point[axis] + by } : point));
}

type Size = "length" | "width" | "height";

const sizesOf = ({ kind }: PhotoScale): readonly Size[] =>
  kind === "length" ? ["length"] : ["width", "height"];

function sizeOf(scale: PhotoScale, size: Size): number {
  return (scale as Readonly<Partial<Record<Size, number>>>)[size]!;
}
