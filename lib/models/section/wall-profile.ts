import { BeadbenchError, requireNumber } from "../../errors/index.js";

/** A point of a profile taken along a wall: place along it and height, mm. */
export interface WallPoint {
  readonly layer: number;
  readonly x: number;
  readonly z: number;
}

/** A wall's top after a layer, mm. */
export interface ProfiledLayer {
  readonly layer: number;
  /** Mean height of the middle. */
  readonly height: number;
  /** How far the top wanders about its mean there, standard deviation. */
  readonly waviness: number;
  /** Mean growth since the layer profiled before, over what both cover; per layer where some between were not profiled. */
  readonly rise?: number;
}

/**
 * Height and rise of a wall by layer from profiles along it. Start and end of every profile are left out: the humps and craters there
 * are not the wall. Points need not stand evenly: each counts by the length it stands for.
 *
 * @param ends - mm left out at either end
 * @throws {BeadbenchError} `not-enough-data` for a layer of which less than two points are left, or that shares no stretch with the one before
 * @source trapezoidal rule; leaving out 15 to 20 mm at the ends is common practice, no source
 * @example wallProfile([0, 10, 20].map((x) => ({ layer: 1, x, z: 2 })), 5)[0].height // => 2
 */
export function wallProfile(points: readonly WallPoint[], ends: number): readonly ProfiledLayer[] {
  requireNumber("ends", ends, { min: 0, unit: "mm" });
  const layers = [...new Set(points.map(({ layer }) => layer))].sort((a, b) => a - b);
  const profiles = layers.map((layer) => ({ layer, ...middleOf(points, layer, ends) }));
  return profiles.map(({ layer, line, from, to }, i) => {
    const height = meanOver(line, from, to);
    const waviness = Math.sqrt(meanOver(squared(line, height), from, to));
    const before = profiles[i - 1];
    if (before === undefined) return { layer, height, waviness };
    const [start, end] = [Math.max(from, before.from), Math.min(to, before.to)];
    if (!(end > start))
      throw new BeadbenchError(
        "not-enough-data",
        `the profiles of layers ${before.layer} and ${layer} share no stretch of the wall`,
      );
    const grown = meanOver(line, start, end) - meanOver(before.line, start, end);
    return { layer, height, waviness, rise: grown / (layer - before.layer) };
  });
}

type Line = readonly { readonly x: number; readonly z: number }[];

function middleOf(
  points: readonly WallPoint[],
  layer: number,
  ends: number,
): { readonly line: Line; readonly from: number; readonly to: number } {
  const line = points.filter((point) => point.layer === layer).sort((a, b) => a.x - b.x);
  const [from, to] = [line[0]!.x + ends, line.at(-1)!.x - ends];
  if (line.length >= 2 && to > from) return { line, from, to };
  throw new BeadbenchError(
    "not-enough-data",
    `the profile of layer ${layer} is ${line.length < 2 ? "a single point" : "no longer than its two ends"}; measure more of it, or leave less out at the ends`,
  );
}

/** Mean of a line of straight pieces from one place to another. */
function meanOver(line: Line, from: number, to: number): number {
  let area = 0;
  for (const [i, right] of line.entries()) {
    const left = line[i - 1];
    if (left === undefined || right.x <= from || left.x >= to || right.x === left.x) continue;
    const [a, b] = [Math.max(from, left.x), Math.min(to, right.x)];
    const at = (x: number): number => left.z + ((right.z - left.z) * (x - left.x)) / (right.x - left.x);
    area += ((at(a) + at(b)) / 2) * (b - a);
  }
  return area / (to - from);
}

const squared = (line: Line, about: number): Line => line.map(({ x, z }) => ({ x, z: (z - about) ** 2 }));
