import { BeadbenchError } from "../errors/index.js";
import { type RandomStream, sobolPoints } from "../numeric/index.js";
import type { GridPoint, SettingGrid } from "./grid.js";

/** A setting and its score. */
export interface Scored {
  readonly point: GridPoint;
  readonly coordinates: Float64Array;
  readonly score: number;
}

/** Settings spread over the whole region first, then drawn near the good ones in each round. */
const EFFORT = { spread: 4096, near: 700, rounds: 5 } as const;

type Visit = (point: GridPoint) => Scored | undefined;

const keyOf = (point: GridPoint): string => point.join(",");

/**
 * Searches the grid for high scores: points spread evenly, then rounds of differences between good points
 * (differential evolution, which follows ridges) with shrinking noise.
 *
 * @returns every distinct allowed setting that was scored, best first
 * @throws {BeadbenchError} `infeasible` when the limits leave no setting among those looked at
 */
export function searchGrid(
  grid: SettingGrid,
  score: (coordinates: Float64Array) => number,
  stream: RandomStream,
): readonly Scored[] {
  const found = new Map<string, Scored>();
  const visit: Visit = (point) => {
    const key = keyOf(point);
    if (found.has(key) || !grid.allowed(point)) return found.get(key);
    const coordinates = grid.coordinates(point);
    const scored = { point, coordinates, score: score(coordinates) };
    found.set(key, scored);
    return scored;
  };
  const dimensions = grid.axes.length;
  for (const unit of sobolPoints(EFFORT.spread, dimensions, stream.seed)) visit(grid.fromUnit(unit));
  if (found.size === 0) {
    throw new BeadbenchError(
      "infeasible",
      "the limits of this study leave no setting within the factor ranges; loosen a limit or widen a factor",
    );
  }
  for (let round = 0; round < EFFORT.rounds; round++) {
    const parents = best(found, 60).map((item) => grid.toUnit(item.point));
    if (parents.length < 4) break;
    const noise = 0.1 * 0.6 ** round;
    const pick = (): readonly number[] => parents[Math.floor(parents.length * stream.uniform() ** 1.5)]!;
    for (let i = 0; i < EFFORT.near; i++) {
      const base = pick();
      const a = pick();
      const b = pick();
      const pull = 0.7 * stream.uniform();
      visit(
        grid.fromUnit(
          base.map((value, j) => clamp(value + pull * (a[j]! - b[j]!) + noise * stream.normal())),
        ),
      );
    }
  }
  climb(grid, found, visit);
  return best(found, found.size);
}

const clamp = (value: number): number => Math.min(1, Math.max(0, value));

function best(found: ReadonlyMap<string, Scored>, count: number): Scored[] {
  return [...found.values()].sort((a, b) => b.score - a.score).slice(0, count);
}

/** Walks from the best setting over single steps and pairs of steps while that helps. */
function climb(grid: SettingGrid, found: ReadonlyMap<string, Scored>, visit: Visit): void {
  let [top] = best(found, 1);
  for (let step = 0; step < 40 && top !== undefined; step++) {
    const from: Scored = top;
    for (const move of moves(grid.axes.length)) {
      const last = (j: number): number => grid.axes[j]!.values.length - 1;
      const reached = visit(from.point.map((index, j) => Math.min(last(j), Math.max(0, index + move[j]!))));
      if (reached !== undefined && reached.score > top.score) top = reached;
    }
    if (top === from) return;
  }
}

function moves(dimensions: number): readonly (readonly number[])[] {
  const result: number[][] = [];
  for (let a = 0; a < dimensions; a++) {
    for (const x of [-1, 1]) {
      result.push(Array.from({ length: dimensions }, (_, j) => (j === a ? x : 0)));
      for (let b = 0; b < a; b++) {
        for (const y of [-1, 1])
          result.push(Array.from({ length: dimensions }, (_, j) => (j === a ? x : j === b ? y : 0)));
      }
    }
  }
  return result;
}
