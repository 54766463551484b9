import type { Corners, Point } from "../../lib/photo/index.js";

/** A camera that looks at a plane, mm, under a tilt, from a distance, and makes a picture of it, px. */
export interface Camera {
  /** deg, about a line across the picture. */
  readonly tilt: number;
  /** deg, of the picture in its own plane. */
  readonly turn: number;
  /** mm from the lens to the middle of what is seen. */
  readonly distance: number;
  /** px; with the distance it gives the scale, f / distance px per mm. */
  readonly focal: number;
}

const MIDDLE = { x: 1500, y: 1000 } as const;

/** Where a point of the plane lies in the picture: a pinhole camera, computed without any homography. */
export function seen({ tilt, turn, distance, focal }: Camera, { x, y }: Point): Point {
  const [a, b] = [(tilt * Math.PI) / 180, (turn * Math.PI) / 180];
  const [depth, down] = [distance + y * Math.sin(a), y * Math.cos(a)];
  const [u, v] = [(focal * x) / depth, (focal * down) / depth];
  return {
    x: MIDDLE.x + u * Math.cos(b) - v * Math.sin(b),
    y: MIDDLE.y + u * Math.sin(b) + v * Math.cos(b),
  };
}

/** The corners of a rectangle about the middle of the plane, as they are seen. */
export function cornersSeen(camera: Camera, width: number, height: number): Corners {
  const at = (x: number, y: number): Point => seen(camera, { x: (x * width) / 2, y: (y * height) / 2 });
  return [at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)];
}

/** The point of the plane that is seen at a pixel, by halving: no inverse is written down. */
export function planePoint(camera: Camera, pixel: Point): Point {
  let point: Point = { x: 0, y: 0 };
  for (let k = 0; k < 60; k++) {
    const at = seen(camera, point);
    const step = 0.7 * (camera.distance / camera.focal);
    const b = (camera.turn * Math.PI) / 180;
    const [dx, dy] = [pixel.x - at.x, pixel.y - at.y];
    point = {
      x: point.x + step * (dx * Math.cos(b) + dy * Math.sin(b)),
      y: point.y + step * (dy * Math.cos(b) - dx * Math.sin(b)),
    };
  }
  return point;
}

/** Places about a pixel that a blur mixes, in units of its standard deviation: 36 of equal weight, in rings. */
const blurred = [0.37, 0.83, 1.22, 1.67, 2.33].flatMap((radius, ring) =>
  Array.from({ length: 4 + 2 * ring }, (_, k) => {
    const angle = (2 * Math.PI * (k + 0.3 * ring)) / (4 + 2 * ring);
    return { x: radius * Math.cos(angle), y: radius * Math.sin(angle) };
  }),
);

/**
 * Where someone sets a point on an edge of a drawn picture: near a place, along a direction, the whole pixel at which the
 * blurred picture passes from dark to bright.
 *
 * @param isBright - what is drawn, in the plane
 */
export function clickOnEdge({
  camera,
  isBright,
  near,
  along,
  blur,
}: {
  readonly camera: Camera;
  readonly isBright: (point: Point) => boolean;
  readonly near: Point;
  readonly along: Point;
  readonly blur: number;
}): Point {
  const brightness = (at: Point): number =>
    blurred.filter((offset) =>
      isBright(planePoint(camera, { x: at.x + blur * offset.x, y: at.y + blur * offset.y })),
    ).length / blurred.length;
  const place = (t: number): Point => ({ x: near.x + t * along.x, y: near.y + t * along.y });
  let crossing = 0;
  let before = brightness(place(-12)) - 0.5;
  for (let t = -11.5; t <= 12; t += 0.5) {
    const now = brightness(place(t)) - 0.5;
    if (before * now <= 0 && before !== now) {
      crossing = t - 0.5 + (0.5 * before) / (before - now);
      break;
    }
    before = now;
  }
  const at = place(crossing);
  return { x: Math.round(at.x), y: Math.round(at.y) };
}
