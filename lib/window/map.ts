import type { BestSearch } from "./best-setting.js";
import type { GridBox } from "./box.js";
import type { GridPoint } from "./grid.js";

/** The chance over two factors, all others at their best setting. */
export interface ChanceMap {
  readonly x: { readonly factor: string; readonly unit: string; readonly values: readonly number[] };
  readonly y: { readonly factor: string; readonly unit: string; readonly values: readonly number[] };
  /** One row per y, one chance per x; null where the study's limits forbid the setting. */
  readonly chance: readonly (readonly (number | null)[])[];
  /** How sure it is that the chance there keeps the level: share of the posterior draws in which it does. */
  readonly sureness: readonly (readonly (number | null)[])[];
  readonly level: number;
}

/** What a map is drawn of. */
export interface MapRequest {
  readonly search: BestSearch;
  readonly best: GridPoint;
  /** The ranges: without a wish the map is over the two that are narrowest. */
  readonly box: GridBox;
  readonly level: number;
  readonly factors: readonly [string, string] | undefined;
  /** Settings along each side. */
  readonly size: number;
}

/** Draws the map; undefined when fewer than two factors have numbers. */
export function chanceMap({ search, best, box, level, factors, size }: MapRequest): ChanceMap | undefined {
  const { grid, chances } = search;
  const numeric = grid.axes.flatMap((axis, j) => (axis.category ? [] : [j]));
  const width = (j: number): number => (box.high[j]! - box.low[j]!) / grid.axes[j]!.values.length;
  const tightest = [...numeric].sort((a, b) => width(a) - width(b));
  const wanted = factors?.map((name) => numeric.find((j) => grid.axes[j]!.name === name)) ?? tightest;
  const [x, y] = wanted;
  if (x === undefined || y === undefined || x === y) return undefined;
  const indices = (j: number): number[] => {
    const count = grid.axes[j]!.values.length;
    const used = Math.min(size, count);
    return Array.from({ length: used }, (_, i) => Math.round((i * (count - 1)) / (used - 1)));
  };
  const draws = new Float64Array(chances.predictor.draws);
  const chance: (number | null)[][] = [];
  const sureness: (number | null)[][] = [];
  for (const iy of indices(y)) {
    const row: (number | null)[] = [];
    const sure: (number | null)[] = [];
    for (const ix of indices(x)) {
      const point = best.map((value, j) => (j === x ? ix : j === y ? iy : value));
      if (!grid.allowed(point)) {
        row.push(null);
        sure.push(null);
        continue;
      }
      const coordinates = grid.coordinates(point);
      const value = chances.chance(coordinates, 1e-4);
      row.push(value);
      if (value < 0.01) {
        sure.push(0);
        continue;
      }
      chances.perDraw(coordinates, draws);
      sure.push(draws.reduce((sum, draw) => sum + (draw >= level ? 1 : 0), 0) / draws.length);
    }
    chance.push(row);
    sureness.push(sure);
  }
  const side = (j: number) => ({
    factor: grid.axes[j]!.name,
    unit: grid.axes[j]!.unit,
    values: indices(j).map((i) => Number(grid.axes[j]!.values[i]!)),
  });
  return { x: side(x), y: side(y), chance, sureness, level };
}
