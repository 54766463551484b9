import { randomStream } from "../numeric/index.js";
import type { OutcomeModel, Settings } from "../models/outcome/index.js";
import { type ChanceFunction, makeChance } from "./chance.js";
import { type GridPoint, makeGrid } from "./grid.js";
import { type Scored, searchGrid } from "./pool.js";

export interface ProposeOptions {
  readonly coupons: number;
  readonly seed?: number;
  readonly group?: number;
}

export function bestSetting(model: OutcomeModel, seed = 1): { settings: Settings; chance: number; pool: readonly Scored[]; fn: ChanceFunction } {
  const grid = makeGrid(model.definition, model.coordinates);
  const fn = makeChance(model);
  const pool = searchGrid(grid, (point) => fn.chance(point, 1e-4), randomStream(seed).split("search"));
  return { settings: grid.settings(pool[0]!.point), chance: pool[0]!.score, pool, fn };
}

export function proposeRaw(model: OutcomeModel, options: ProposeOptions): Settings[] {
  const grid = makeGrid(model.definition, model.coordinates);
  const stream = randomStream(options.seed ?? model.seed).split("propose");
  const { pool, fn } = bestSetting(model, options.seed ?? model.seed);
  const top = pool.slice(0, 1500);
  const M = fn.predictor.draws;
  const matrix = top.map((item) => {
    const row = new Float64Array(M);
    fn.perDraw(item.coordinates, row);
    return row;
  });
  const group = options.group ?? 4;
  const chosen: GridPoint[] = [];
  const order = stream.shuffle(Array.from({ length: M }, (_, m) => m));
  for (let k = 0; k < options.coupons; k++) {
    const members = order.slice((k * group) % M, (k * group) % M + group);
    let bestI = 0;
    let bestValue = -1;
    matrix.forEach((row, i) => {
      let value = 0;
      for (const m of members) value += row[m]!;
      if (value > bestValue && !chosen.includes(top[i]!.point)) [bestI, bestValue] = [i, value];
    });
    chosen.push(top[bestI]!.point);
  }
  return chosen.map(grid.settings);
}
