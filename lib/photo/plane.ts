import { requireNumber, requireThat } from "../errors/index.js";

/** A place in a picture, in pixels from its upper left corner, or in the plane of what it shows, in mm. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** Takes a place in the picture, px, to the plane of what it shows, mm. */
export type Plane = (pixel: Point) => Point;

/** Four points in order round a rectangle or its picture: upper left, upper right, lower right, lower left. */
export type Corners = readonly [Point, Point, Point, Point];

/** Below this many px two points of a scale, or the sides of a rectangle, say nothing. */
const LEAST_PIXELS = 5;

/** The distance of two points, in their unit. */
export const distance = (a: Point, b: Point): number => Math.hypot(b.x - a.x, b.y - a.y);

/**
 * The plane of a picture taken square on: one scale for all of it. A tilt of the camera by 10 degrees makes lengths along
 * it 1.5 % too short, and what lies nearer to the camera than the scale comes out too large: use {@link planeOfRectangle}
 * for a tilt, and keep the scale at the height of what is measured.
 *
 * @param ends - both ends of a known length, px
 * @param length - what lies between them, mm
 * @throws {BeadbenchError} `bad-argument` where the ends are nearer than 5 px or the length is not above 0
 */
export function planeOfLength(ends: readonly [Point, Point], length: number): Plane {
  requireNumber("the known length", length, { above: 0, unit: "mm" });
  const pixels = distance(ends[0], ends[1]);
  requireThat(
    pixels >= LEAST_PIXELS,
    "the two points of the scale lie on each other: drag them to the ends of the known length",
  );
  const scale = length / pixels;
  return ({ x, y }) => ({ x: scale * x, y: scale * y });
}

/**
 * The plane of a picture taken at any angle: the homography that makes the picture of a rectangle that rectangle again.
 * It holds in the rectangle's own plane alone, and knows no bend of the lens: keep what is measured near the middle of
 * the picture and in the plane of the rectangle.
 *
 * @param corners - of the rectangle in the picture, px
 * @param size - width (along the first side) and height of the rectangle, mm
 * @throws {BeadbenchError} `bad-argument` where the corners are not those of a rectangle seen from some side
 * @source P. S. Heckbert, Fundamentals of Texture Mapping and Image Warping, Master's thesis, Berkeley 1989, section 2.2.3
 */
export function planeOfRectangle(
  corners: Corners,
  size: { readonly width: number; readonly height: number },
): Plane {
  requireNumber("the width of the rectangle", size.width, { above: 0, unit: "mm" });
  requireNumber("the height of the rectangle", size.height, { above: 0, unit: "mm" });
  requireConvex(corners);
  const [a, b, c, d, e, f, g, h, i] = inverse(fromUnitSquare(corners));
  return ({ x, y }) => {
    const w = g * x + h * y + i;
    return { x: (size.width * (a * x + b * y + c)) / w, y: (size.height * (d * x + e * y + f)) / w };
  };
}

type Matrix = readonly [number, number, number, number, number, number, number, number, number];

/** The homography from the unit square to four corners. */
function fromUnitSquare([p, q, r, s]: Corners): Matrix {
  const [sumX, sumY] = [p.x - q.x + r.x - s.x, p.y - q.y + r.y - s.y];
  const [x1, y1, x2, y2] = [q.x - r.x, q.y - r.y, s.x - r.x, s.y - r.y];
  const across = x1 * y2 - x2 * y1;
  const g = (sumX * y2 - x2 * sumY) / across;
  const h = (x1 * sumY - sumX * y1) / across;
  return [
    q.x - p.x + g * q.x,
    s.x - p.x + h * s.x,
    p.x,
    q.y - p.y + g * q.y,
    s.y - p.y + h * s.y,
    p.y,
    g,
    h,
    1,
  ];
}

/** The inverse up to a factor, which a homography does not feel. */
function inverse([a, b, c, d, e, f, g, h, i]: Matrix): Matrix {
  return [
    e * i - f * h,
    c * h - b * i,
    b * f - c * e,
    f * g - d * i,
    a * i - c * g,
    c * d - a * f,
    d * h - e * g,
    b * g - a * h,
    a * e - b * d,
  ];
}

/** The picture of a rectangle bulges at all four corners, the same way round, and has sides that are more than a dot. */
function requireConvex(corners: Corners): void {
  const turns = corners.map((corner, k) => {
    const [before, after] = [corners[(k + 3) % 4]!, corners[(k + 1) % 4]!];
    const turn = (corner.x - before.x) * (after.y - corner.y) - (corner.y - before.y) * (after.x - corner.x);
    return turn / Math.max(distance(before, corner), distance(corner, after), 1);
  });
  requireThat(
    turns.every((turn) => turn >= LEAST_PIXELS) || turns.every((turn) => turn <= -LEAST_PIXELS),
    "the four corners do not make the picture of a rectangle: drag them to its corners in order round it, none inside the others",
  );
}
