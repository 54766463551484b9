import type { BoundaryDraw } from "./boundary.js";
import { type Coordinate, settingSdAt } from "./coordinates.js";
import { quickExp } from "./quick-exp.js";

/** Settings held exactly. */
export const EXACT = new Float64Array(0);

/**
 * Chances that a check is passed, made ready for many points.
 *
 * `variances` are those of what the rig holds along each axis about a point, or {@link EXACT}.
 */
export interface CheckChance {
  /** Averaged over the draws. */
  readonly average: (point: Float64Array, variances: Float64Array) => number;
  /** If draw `m` were the truth. */
  readonly draw: (m: number, point: Float64Array, variances: Float64Array) => number;
}

/** Margins of all draws in one piece, each a constant and its slopes; draw `m` holds those from `starts[m]` on. */
interface Compiled {
  readonly lines: Float64Array;
  readonly starts: Int32Array;
  /** Per draw, the chance that is left where none of its margins is near. */
  readonly sound: Float64Array;
}

/** A margin beyond this changes the chance by less than one in a thousand, and below -LOST nothing is left. */
const SAFE = 7;
const LOST = 9;
/** The same for margins of settings held loosely. */
const SAFE_LOOSE = 2 * SAFE;
/** Parts of every axis, and the points asked about in a cell of them from which on it has margins of its own. */
const PARTS = 4;
const WORTH_A_CELL = 6;
/** Numbers kept for cells at most, and cells counted: ten axes have a million of them. */
const MOST_KEPT = 4_000_000;
const MOST_CELLS = 100_000;
/** By how many variances, at most, a logistic curve averaged over a normal error is flatter. */
const flatter = (variance: number): number => Math.sqrt(1 + (Math.PI / 8) * variance);

/** A part of the space of settings: its middle and half its sides. */
interface Cell {
  readonly centre: readonly number[];
  readonly halves: readonly number[];
}

/**
 * Makes a check ready for many points. A logistic curve averaged over a normal error of variance V is near
 * enough one that is sqrt(1 + pi V / 8) times flatter: within 0.02. Within the factor ranges the margins that
 * no setting there comes near are left out, and again in every cell of a grid where many points are asked about.
 *
 * @source D. J. C. MacKay, The evidence framework applied to classification networks, Neural Comput. 4 (1992) 720
 */
export function makeCheckChance(
  draws: readonly BoundaryDraw[],
  coordinates: readonly Coordinate[],
): CheckChance {
  const axes = coordinates.length;
  const width = 1 + axes;
  const count = draws.length;
  const reach = coordinates.map(({ half }) => half * (1 + 1e-9));
  const everywhere = everyMargin(draws, reach);
  const within = nearMargins(everywhere, { centre: reach.map(() => 0), halves: reach }, coordinates);
  /** Of a cell how often it was asked about, then its margins. */
  const cells = new Map<number, number | Compiled>();
  let kept = 0;
  const ownOf = (cell: number): Compiled => {
    const found = cells.get(cell) ?? 0;
    if (typeof found === "object") return found;
    if (kept > MOST_KEPT || cells.size > MOST_CELLS) return within;
    if (found < WORTH_A_CELL) {
      cells.set(cell, found + 1);
      return within;
    }
    const halves = reach.map((half) => half / PARTS);
    const centre = reach.map(
      (half, j) => half * ((2 * (Math.floor(cell / PARTS ** j) % PARTS) + 1) / PARTS - 1),
    );
    const own = nearMargins(within, { centre, halves }, coordinates);
    kept += own.lines.length + own.starts.length + own.sound.length;
    cells.set(cell, own);
    return own;
  };
  const compiledAt = (point: Float64Array): Compiled => {
    let cell = 0;
    for (let j = axes - 1; j >= 0; j--) {
      const place = point[j]! / reach[j]!;
      if (place > 1 || place < -1) return everywhere;
      cell = cell * PARTS + Math.min(PARTS - 1, Math.floor(0.5 * PARTS * (place + 1)));
    }
    return ownOf(cell);
  };
  // biome-ignore lint/complexity/useMaxParams: an inner loop, where an object per call would cost
  const chance = (
    { lines, starts, sound }: Compiled,
    m: number,
    point: Float64Array,
    variances: Float64Array,
  ): number => {
    let product = 1;
    const end = starts[m + 1]!;
    for (let at = starts[m]!; at < end; at += width) {
      let margin = lines[at]!;
      for (let j = 0; j < axes; j++) margin += lines[at + 1 + j]! * point[j]!;
      if (variances.length > 0 && margin < SAFE_LOOSE) {
        let variance = 0;
        for (let j = 0; j < axes; j++) {
          const slope = lines[at + 1 + j]!;
          variance += slope * slope * variances[j]!;
        }
        margin /= flatter(variance);
      }
      if (margin < SAFE) {
        if (margin < -LOST) return 0;
        product *= 1 + quickExp(-margin);
      }
    }
    return sound[m]! / product;
  };
  return {
    average(point, variances) {
      const compiled = compiledAt(point);
      let sum = 0;
      for (let m = 0; m < count; m++) sum += chance(compiled, m, point, variances);
      return sum / count;
    },
    draw: (m, point, variances) => chance(compiledAt(point), m, point, variances),
  };
}

/** All margins of all draws, those that bind most within the factor ranges first: where a coupon is lost, the others need no look. */
function everyMargin(draws: readonly BoundaryDraw[], reach: readonly number[]): Compiled {
  const axes = reach.length;
  const lines: number[] = [];
  const starts = [0];
  for (const { constants, slopes } of draws) {
    const own = constants.map((constant, k) => {
      const line = [constant, ...slopes.slice(k * axes, (k + 1) * axes)];
      return { line, least: reach.reduce((sum, half, j) => sum - half * Math.abs(line[1 + j]!), constant) };
    });
    own.sort((one, two) => one.least - two.least);
    for (const { line } of own) lines.push(...line);
    starts.push(lines.length);
  }
  return {
    lines: Float64Array.from(lines),
    starts: Int32Array.from(starts),
    sound: Float64Array.from(draws, ({ lapse }) => 1 - lapse),
  };
}

/** Of some margins, those that some setting of a cell comes near. */
function nearMargins(
  { lines, starts, sound }: Compiled,
  { centre, halves }: Cell,
  coordinates: readonly Coordinate[],
): Compiled {
  const axes = coordinates.length;
  const width = 1 + axes;
  // The rig holds a setting least closely, on a logarithm, at the low end.
  const loosest = coordinates.map((axis, j) => settingSdAt(axis, centre[j]! - halves[j]!) ** 2);
  const near = new Float64Array(lines.length);
  const nearStarts = new Int32Array(starts.length);
  const left = Float64Array.from(sound);
  let end = 0;
  for (let m = 0; m < sound.length; m++) {
    for (let at = starts[m]!; at < starts[m + 1]!; at += width) {
      let middle = lines[at]!;
      let away = 0;
      let variance = 0;
      for (let j = 0; j < axes; j++) {
        const slope = lines[at + 1 + j]!;
        middle += slope * centre[j]!;
        away += Math.abs(slope) * halves[j]!;
        variance += slope * slope * loosest[j]!;
      }
      const flat = flatter(variance);
      if (middle + away < -LOST * flat) {
        left[m] = 0;
        end = nearStarts[m]!;
        break;
      }
      if (middle - away >= Math.min(SAFE * flat, SAFE_LOOSE)) continue;
      for (let j = 0; j < width; j++) near[end + j] = lines[at + j]!;
      end += width;
    }
    nearStarts[m + 1] = end;
  }
  return { lines: near.slice(0, end), starts: nearStarts, sound: left };
}
