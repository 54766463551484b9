import type { RandomStream } from "../../numeric/index.js";
import type { Region } from "../region/index.js";
import { type Axis, nearestLevel, type Point } from "../region/index.js";

/** A space-filling set of points and how far it kept the Latin property. */
export interface SpaceFilling {
  readonly points: readonly Point[];
  /** Points that had to leave their Latin cell to meet a limit. */
  readonly displaced: number;
  /** Smallest distance between two points, in unit-cube lengths; a different category counts 1. */
  readonly leastDistance: number;
}

/** Square of the distance contribution of one axis between two coded values, on a unit range. */
function gap2(axis: Axis, a: number, b: number): number {
  if (axis.category) return a === b ? 0 : 1;
  return ((a - b) / 2) ** 2;
}

function distance2(axes: readonly Axis[], a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let j = 0; j < axes.length; j++) sum += gap2(axes[j]!, a[j]!, b[j]!);
  return sum;
}

const codedOf = (axes: readonly Axis[], point: Point): number[] =>
  axes.map((axis, j) => axis.coded[point[j]!]!);

/** d^-16, capped so that coincident points stay comparable. */
function repulsion(d2: number): number {
  const inverse = 1 / Math.max(d2, 1e-6);
  const fourth = inverse * inverse * (inverse * inverse);
  return fourth * fourth;
}

/**
 * Maximin Latin hypercube: along every numeric factor the coupons are evenly spaced from low to high (as
 * far as its steps allow), categories are balanced, and the phi_p measure of crowding
 *
 *     phi_p = (sum over pairs of d^-p)^(1/p),   p = 16
 *
 * is made small by annealed swaps within columns. Points already run repel new ones. Where limits cut the
 * region, swaps first bring coupons inside; those that cannot come in become the allowed points farthest
 * from all others.
 *
 * @source McKay, Beckman and Conover, Technometrics 21 (1979) 239-245; Morris and Mitchell, Journal of
 *   Statistical Planning and Inference 43 (1995) 381-402
 */
export function maximinLatinHypercube({
  region,
  count,
  fixed,
  allowed,
  stream,
}: {
  readonly region: Region;
  readonly count: number;
  /** Coded rows of coupons already run. */
  readonly fixed: readonly (readonly number[])[];
  readonly allowed: Point;
  readonly stream: RandomStream;
}): SpaceFilling {
  const { axes } = region;
  const points = latinStart(axes, count, stream);
  const coded = points.map((point) => codedOf(axes, point));
  anneal({ region, points, coded, fixed, stream });
  let displaced = 0;
  for (let i = 0; i < count; i++) {
    if (region.allows(points[i]!)) continue;
    displaced++;
    const others = coded.filter((_, other) => other !== i && region.allows(points[other]!));
    points[i] = [...farthestAllowed({ region, others: [...others, ...fixed], allowed, stream })];
    coded[i] = codedOf(axes, points[i]!);
  }
  return { points, displaced, leastDistance: leastDistance(axes, coded) };
}

function latinStart(axes: readonly Axis[], count: number, stream: RandomStream): number[][] {
  const columns = axes.map((axis) => {
    const levels = Array.from({ length: count }, (_, i) =>
      axis.category
        ? i % axis.values.length
        : nearestLevel(axis, count === 1 ? 0 : -1 + (2 * i) / (count - 1)),
    );
    return stream.shuffle(levels);
  });
  return Array.from({ length: count }, (_, i) => columns.map((column) => column[i]!));
}

/** Annealed swaps of two coupons' values in one column; changes `points` and `coded` in place. */
function anneal({
  region,
  points,
  coded,
  fixed,
  stream,
}: {
  readonly region: Region;
  readonly points: number[][];
  readonly coded: number[][];
  readonly fixed: readonly (readonly number[])[];
  readonly stream: RandomStream;
}): void {
  const { axes } = region;
  const count = points.length;
  if (count < 2) return;
  const energyOf = (i: number, skip: number): number => {
    let sum = 0;
    for (let other = 0; other < count; other++) {
      if (other !== i && other !== skip) sum += repulsion(distance2(axes, coded[i]!, coded[other]!));
    }
    for (const row of fixed) sum += repulsion(distance2(axes, coded[i]!, row));
    return sum;
  };
  const outside = (a: number, b: number): number =>
    (region.allows(points[a]!) ? 0 : 1) + (region.allows(points[b]!) ? 0 : 1);
  const swap = (a: number, b: number, j: number): void => {
    [points[a]![j], points[b]![j]] = [points[b]![j]!, points[a]![j]!];
    [coded[a]![j], coded[b]![j]] = [coded[b]![j]!, coded[a]![j]!];
  };
  /** Sum over all pairs, recomputed now and then because it falls by many powers of ten. */
  const totalEnergy = (): number => {
    let sum = 0;
    for (let i = 0; i < count; i++) {
      for (let other = 0; other < i; other++) sum += repulsion(distance2(axes, coded[i]!, coded[other]!));
      for (const row of fixed) sum += repulsion(distance2(axes, coded[i]!, row));
    }
    return sum;
  };
  let energy = totalEnergy();
  const steps = Math.min(20_000, 500 * count * axes.length);
  for (let step = 0; step < steps; step++) {
    if (step % 100 === 0) energy = totalEnergy();
    const temperature = 0.02 * (1 - step / steps) ** 2;
    const a = stream.integer(0, count - 1);
    const b = (a + stream.integer(1, count - 1)) % count;
    const j = stream.integer(0, axes.length - 1);
    if (points[a]![j] === points[b]![j]) continue;
    const breachBefore = outside(a, b);
    const before = energyOf(a, b) + energyOf(b, a);
    swap(a, b, j);
    const breach = outside(a, b) - breachBefore;
    const after = energyOf(a, b) + energyOf(b, a);
    const change = Math.log((energy + after - before) / energy) / 16;
    const accept =
      breach < 0 || (breach === 0 && (change <= 0 || stream.uniform() < Math.exp(-change / temperature)));
    if (accept) energy = Math.max(energy + after - before, Number.MIN_VALUE);
    else swap(a, b, j);
  }
}

/** The allowed one of many random points that lies farthest from the others. */
function farthestAllowed({
  region,
  others,
  allowed,
  stream,
}: {
  readonly region: Region;
  readonly others: readonly (readonly number[])[];
  readonly allowed: Point;
  readonly stream: RandomStream;
}): Point {
  const { axes } = region;
  const nearest = (point: Point): number => {
    const row = codedOf(axes, point);
    return others.reduce((least, other) => Math.min(least, distance2(axes, row, other)), Infinity);
  };
  let best = allowed;
  let bestDistance = nearest(allowed);
  for (let trial = 0; trial < 2000; trial++) {
    const point = axes.map((axis) => stream.integer(0, axis.values.length - 1));
    if (!region.allows(point)) continue;
    const distance = nearest(point);
    if (distance > bestDistance) [best, bestDistance] = [point, distance];
  }
  return best;
}

function leastDistance(axes: readonly Axis[], coded: readonly (readonly number[])[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const [i, row] of coded.entries()) {
    for (const other of coded.slice(i + 1)) least = Math.min(least, distance2(axes, row, other));
  }
  return Math.sqrt(least);
}
