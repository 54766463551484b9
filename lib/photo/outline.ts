import { requireThat } from "../errors/index.js";
import type { Point } from "./plane.js";

/**
 * Area inside a traced outline, by the trapezoids under its sides (the surveyor's formula); the last point is joined to the
 * first.
 *
 * @param outline - at least three points in order round it, mm
 * @returns mm2
 * @throws {BeadbenchError} `bad-argument` for fewer points, or an outline that crosses itself
 * @example outlineArea([{ x: 0, y: 0 }, { x: 4, y: 0 }, { x: 0, y: 3 }]) // => 6
 */
export function outlineArea(outline: readonly Point[]): number {
  requireThat(outline.length >= 3, `an outline needs at least three points, got ${outline.length}`);
  requireThat(
    !crossesItself(outline),
    "the outline crosses itself: drag its points apart, or take the last ones back",
  );
  return polygonArea(outline);
}

/**
 * How much the area may be off because straight sides cut the corners of a curved outline: the area between them and a
 * smooth curve through the same points (a closed Catmull-Rom spline, four places a side).
 *
 * @returns mm2
 */
export function chordDoubt(outline: readonly Point[]): number {
  const n = outline.length;
  const smooth = outline.flatMap((point, k) => {
    const near = [outline[(k + n - 1) % n]!, point, outline[(k + 1) % n]!, outline[(k + 2) % n]!];
    const [xs, ys] = [near.map(({ x }) => x), near.map(({ y }) => y)];
    return [0, 0.25, 0.5, 0.75].map((t) => ({ x: splineAt(xs, t), y: splineAt(ys, t) }));
  });
  return Math.abs(polygonArea(smooth) - polygonArea(outline));
}

/** The Catmull-Rom spline between the second and the third of four values, at t from 0 to 1. */
function splineAt(near: readonly number[], t: number): number {
  const [p, a, b, q] = near as readonly [number, number, number, number];
  return a + 0.5 * t * (b - p + t * (2 * p - 5 * a + 4 * b - q + t * (3 * (a - b) + q - p)));
}

function polygonArea(outline: readonly Point[]): number {
  const twice = outline.reduce((sum, a, k) => {
    const b = outline[(k + 1) % outline.length]!;
    return sum + a.x * b.y - b.x * a.y;
  }, 0);
  return Math.abs(twice) / 2;
}

function crossesItself(outline: readonly Point[]): boolean {
  const n = outline.length;
  const side = (k: number): readonly [Point, Point] => [outline[k]!, outline[(k + 1) % n]!];
  for (let i = 0; i < n; i++)
    for (let j = i + 2; j < n; j++) if ((j + 1) % n !== i && cross(side(i), side(j))) return true;
  return false;
}

function cross([a, b]: readonly [Point, Point], [c, d]: readonly [Point, Point]): boolean {
  const turn = (p: Point, q: Point, r: Point): number =>
    Math.sign((q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x));
  return turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0;
}
