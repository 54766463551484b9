import { ownValue } from "../errors/index.js";
import type { OutcomeModel, Settings } from "../models/index.js";
import { randomStream } from "../numeric/index.js";
import { type ChanceFunction, makeChance } from "./chance.js";
import { makeGrid, type SettingGrid } from "./grid.js";
import { type Scored, searchGrid } from "./pool.js";

/** Outcome of a search for the setting of highest chance. */
export interface BestSearch {
  readonly grid: SettingGrid;
  readonly chances: ChanceFunction;
  /** Every setting looked at, best first. */
  readonly pool: readonly Scored[];
}

/**
 * Searches the allowed settings for the highest chance of conformance.
 *
 * @throws {BeadbenchError} `infeasible` when the study's limits leave no setting
 */
export function searchBest(model: OutcomeModel, seed: number): BestSearch {
  const grid = makeGrid(model.definition, model.coordinates);
  const chances = makeChance(model);
  const stream = randomStream(seed).split("search");
  const pool = searchGrid(grid, (point) => chances.chance(point, 1e-4), stream);
  return { grid, chances, pool };
}

/** Settings in the study's order of factors, with units. */
export interface SettingWithUnit {
  readonly factor: string;
  readonly value: number | string;
  readonly unit: string;
}

/** Spells settings out with their units. */
export function withUnits(model: OutcomeModel, settings: Settings): readonly SettingWithUnit[] {
  return model.definition.factors.map(({ name, unit }) => ({
    factor: name,
    value: ownValue(settings, name)!,
    unit,
  }));
}
