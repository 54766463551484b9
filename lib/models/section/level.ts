import { BeadbenchError, requireNumber, requireThat } from "../../errors/index.js";
import { mean, significant } from "../../numeric/index.js";

/** A point of a bead's outline, mm. */
export interface SectionPoint {
  readonly x: number;
  readonly y: number;
}

/** Points turned so that the base lies along y = 0. */
export interface LevelledPoints {
  readonly points: readonly SectionPoint[];
  /** Angle the base had, deg, anticlockwise positive. */
  readonly tilt: number;
  /** Rough toes, in levelled x. */
  readonly toes: readonly [left: number, right: number];
}

const RADIAN = Math.PI / 180;
/** Share of the bead's height under which a point may belong to the base. */
const BASE_SHARE = 0.12;
const FEWEST_BASE_POINTS = 3;
/** Height below which nothing stands on the base, mm. */
const LOWEST_BEAD = 1e-3;
/** Widths that points across a bead or wall may reach over, mm. */
const SPAN = { least: 0.3, most: 300 } as const;

/** Points turned clockwise by an angle (deg) about the origin. */
export function turned(points: readonly SectionPoint[], angle: number): readonly SectionPoint[] {
  const [cosine, sine] = [Math.cos(angle * RADIAN), Math.sin(angle * RADIAN)];
  return points.map(({ x, y }) => ({ x: x * cosine + y * sine, y: y * cosine - x * sine }));
}

/**
 * Finds the base on both sides of the bead, and turns and lifts the points so that it lies along y = 0.
 *
 * @param points - in order of x
 * @param toes - rough toes in the x of the points; found by themselves without
 * @throws {BeadbenchError} `not-enough-data` without three base points on either side
 */
export function levelPoints(
  points: readonly SectionPoint[],
  toes: readonly [number, number] | undefined,
): LevelledPoints {
  const ends = Math.max(FEWEST_BASE_POINTS, Math.round(0.06 * points.length));
  let [left, right] = toes ?? [points[ends - 1]!.x, points[points.length - ends]!.x];
  let line = baseLine(points, left, right);
  const heights = heightsOver(points, line);
  requireThat(
    Math.max(...heights) > Math.max(LOWEST_BEAD, -Math.min(...heights)),
    "no bead stands on the base: give y upwards (in pictures it often counts downwards)",
  );
  for (let round = 0; toes === undefined && round < 4; round++) {
    [left, right] = roughToes(points, line);
    line = baseLine(points, left, right);
  }
  const tilt = Math.atan(line.slope) / RADIAN;
  const lifted = points.map(({ x, y }) => ({ x, y: y - line.offset }));
  const factor = Math.cos(tilt * RADIAN);
  return { points: turned(lifted, tilt), tilt, toes: [left / factor, right / factor] };
}

interface Line {
  readonly offset: number;
  readonly slope: number;
}

/** Least-squares line through the points outside the toes. */
function baseLine(points: readonly SectionPoint[], left: number, right: number): Line {
  const sides = [points.filter(({ x }) => x <= left), points.filter(({ x }) => x >= right)];
  if (sides.some((side) => side.length < FEWEST_BASE_POINTS)) {
    throw new BeadbenchError(
      "not-enough-data",
      `the outline has ${sides[0]!.length} points of the base left and ${sides[1]!.length} right of the bead: trace at least ${FEWEST_BASE_POINTS} on either side, or give points already levelled (base: "level")`,
    );
  }
  const base = sides.flat();
  const mx = mean(base.map(({ x }) => x));
  const my = mean(base.map(({ y }) => y));
  const sxx = base.reduce((sum, { x }) => sum + (x - mx) ** 2, 0);
  const sxy = base.reduce((sum, { x, y }) => sum + (x - mx) * (y - my), 0);
  const slope = sxy / sxx;
  return { offset: my - slope * mx, slope };
}

const heightsOver = (points: readonly SectionPoint[], { offset, slope }: Line): readonly number[] =>
  points.map(({ x, y }) => y - offset - slope * x);

/** Outermost points of the bead that stand clear of the base, moved out by what is hidden below. */
function roughToes(points: readonly SectionPoint[], line: Line): [number, number] {
  const heights = heightsOver(points, line);
  const crest = heights.indexOf(Math.max(...heights));
  const clear = BASE_SHARE * heights[crest]!;
  let [first, last] = [crest, crest];
  while (first > 0 && heights[first - 1]! > clear) first--;
  while (last < points.length - 1 && heights[last + 1]! > clear) last++;
  const spare = 0.04 * (points[last]!.x - points[first]!.x);
  return [points[first]!.x - spare, points[last]!.x + spare];
}

/** Checks and sorts the points of an outline. */
export function requirePoints(points: readonly SectionPoint[], fewest: number): readonly SectionPoint[] {
  points.forEach(({ x, y }, i) => {
    requireNumber(`x of point ${i + 1}`, x, { unit: "mm" });
    requireNumber(`y of point ${i + 1}`, y, { unit: "mm" });
  });
  if (points.length < fewest) {
    throw new BeadbenchError(
      "not-enough-data",
      `a section takes at least ${fewest} points, got ${points.length}: trace the outline more densely`,
    );
  }
  const span = Math.max(...points.map(({ x }) => x)) - Math.min(...points.map(({ x }) => x));
  requireThat(
    span >= SPAN.least && span <= SPAN.most,
    `the points reach over ${significant(span)} mm across, where a bead is 2 to 30 mm wide: check that x goes across the bead, and its unit (pixels or micrometres taken for mm?)`,
  );
  return [...points].sort((a, b) => a.x - b.x);
}
