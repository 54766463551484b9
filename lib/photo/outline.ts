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

/** A turn of the outline beyond this, rad, is a corner of what is traced, such as a toe; a smaller one is part of a curve. */
const CORNER = (75 * Math.PI) / 180;

/**
 * How much the area may be off because straight sides cut a curved outline short: the arcs over them, told from how the
 * outline turns at both ends of each side. Sharp corners count as such.
 *
 * @returns mm2
 * @source an arc over a chord c that turns by a small angle t encloses c squared times t over 12 with it, the first term
 *   of the circle segment R^2 (t - sin t) / 2
 */
export function chordDoubt(outline: readonly Point[]): number {
  const n = outline.length;
  const at = (k: number): Point => outline[(k + n) % n]!;
  const turns = outline.map((point, k) => {
    const [before, after] = [at(k - 1), at(k + 1)];
    const turn =
      Math.atan2(after.y - point.y, after.x - point.x) - Math.atan2(point.y - before.y, point.x - before.x);
    const own = Math.atan2(Math.sin(turn), Math.cos(turn));
    return Math.abs(own) > CORNER ? 0 : own;
  });
  const arcs = outline.map((point, k) => {
    const next = at(k + 1);
    const [a, b] = [turns[k]!, turns[(k + 1) % n]!];
    // Beside a corner the curve goes on as at the other end.
    const turn = a === 0 ? b : b === 0 ? a : (a + b) / 2;
    return (((next.x - point.x) ** 2 + (next.y - point.y) ** 2) * turn) / 12;
  });
  return Math.abs(arcs.reduce((sum, arc) => sum + arc, 0));
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
