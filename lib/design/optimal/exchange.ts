import type { Basis } from "../model/index.js";
import type { Region } from "../region/index.js";
import { allowedSpan } from "../region/index.js";
import { type Draft, fillRow } from "./draft.js";
import type { Information } from "./information.js";

/** Levels tried in the coarse passes of numeric axes with more levels than this. */
const COARSE = 5;
/** Smaller gains are rounding. */
export const LEAST_GAIN = 1e-9;

/** Levels worth trying along an axis: all when few, else evenly spaced over the allowed span. */
export function levelsToTry(region: Region, point: number[], axis: number): readonly number[] {
  const { values, category } = region.axes[axis]!;
  if (category || values.length <= COARSE) return values.map((_, level) => level);
  const [lower, upper] = allowedSpan(region, point, axis);
  const levels = Array.from({ length: COARSE }, (_, i) =>
    Math.round(lower + (i * (upper - lower)) / (COARSE - 1)),
  );
  return levels.filter((level, i) => level !== levels[i - 1]);
}

/** What a search about a draft moves, in place. */
export interface LocalSearch {
  readonly region: Region;
  readonly basis: Basis;
  readonly draft: Draft;
  readonly information: Information;
  /** Axes that may differ from run to run. */
  readonly movable: readonly number[];
}

/**
 * Moves one run at a time, one factor at a time, to the level that gains most, until a whole pass gains nothing.
 *
 * @source Meyer and Nachtsheim, Technometrics 37 (1995) 60-69
 */
export function exchangeCoordinates({ region, basis, draft, information, movable }: LocalSearch): void {
  const coded = new Float64Array(region.axes.length + 1);
  const width = basis.size * basis.copies;
  const trialRow = new Float64Array(width);
  const bestRow = new Float64Array(width);
  for (let pass = 0, improved = true; improved && pass < 60; pass++) {
    improved = false;
    for (const [run, point] of draft.points.entries()) {
      information.select(run);
      for (const j of movable) {
        const home = point[j]!;
        let best = home;
        let bestGain = LEAST_GAIN;
        for (const level of levelsToTry(region, point, j)) {
          if (level === home) continue;
          point[j] = level;
          if (!region.allows(point)) continue;
          fillRow(region, basis, point, draft.blocks[run]!, coded, trialRow);
          const gain = information.trial(trialRow);
          if (gain > bestGain) {
            bestGain = gain;
            best = level;
            bestRow.set(trialRow);
          }
        }
        point[j] = best;
        if (best !== home) {
          information.accept(bestRow);
          improved = true;
        }
      }
    }
    information.refresh(0);
  }
}
