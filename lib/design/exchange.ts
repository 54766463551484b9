import type { Basis } from "./basis.js";
import { codeInto, type Draft } from "./draft.js";
import type { Information } from "./information.js";
import type { Region } from "./limit.js";
import { allowedSpan } from "./sample-region.js";

/** Levels tried in the coarse passes of numeric axes with more levels than this. */
const COARSE = 5;
const LEAST_GAIN = 1e-9;

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

/**
 * Moves one run at a time, one factor at a time, to the level that gains most, until a whole pass gains
 * nothing. `movable` lists the axes that may differ from run to run.
 *
 * @source Meyer and Nachtsheim, Technometrics 37 (1995) 60-69
 */
export function exchangeCoordinates(
  region: Region,
  basis: Basis,
  draft: Draft,
  information: Information,
  movable: readonly number[],
): void {
  const coded = new Float64Array(region.axes.length + 1);
  const width = basis.size * basis.copies;
  const trialRow = new Float64Array(width);
  const bestRow = new Float64Array(width);
  for (let pass = 0, improved = true; improved && pass < 60; pass++) {
    improved = false;
    for (const [run, point] of draft.points.entries()) {
      information.select(run);
      codeInto(region, point, draft.blocks[run]!, coded);
      for (const j of movable) {
        const home = point[j]!;
        let best = home;
        let bestGain = LEAST_GAIN;
        for (const level of levelsToTry(region, point, j)) {
          if (level === home) continue;
          point[j] = level;
          if (!region.allows(point)) continue;
          coded[j] = region.axes[j]!.coded[level]!;
          basis.fill(coded, trialRow);
          const gain = information.trial(trialRow);
          if (gain > bestGain) {
            bestGain = gain;
            best = level;
            bestRow.set(trialRow);
          }
        }
        point[j] = best;
        coded[j] = region.axes[j]!.coded[best]!;
        if (best !== home) {
          information.accept(bestRow);
          improved = true;
        }
      }
    }
    information.refresh(0);
  }
}

/**
 * Local search on the finest steps: each run tries short moves along one factor, and along two at once
 * where limits cut slantwise, with strides that halve down to one step.
 */
export function polishSteps(
  region: Region,
  basis: Basis,
  draft: Draft,
  information: Information,
  movable: readonly number[],
): void {
  const numeric = movable.filter((j) => !region.axes[j]!.category && region.axes[j]!.values.length > 2);
  const moves = localMoves(numeric, region.limits.length > 0);
  const coded = new Float64Array(region.axes.length + 1);
  const trialRow = new Float64Array(basis.size * basis.copies);
  for (let share = 0.125; ; share /= 2) {
    const strides = region.axes.map((axis) => Math.max(1, Math.round(share * (axis.values.length - 1))));
    for (let pass = 0, improved = true; improved && pass < 20; pass++) {
      improved = false;
      for (const [run, point] of draft.points.entries()) {
        information.select(run);
        for (const move of moves) {
          while (true) {
            const held = [...point];
            if (!shift(region, point, move, strides)) break;
            codeInto(region, point, draft.blocks[run]!, coded);
            basis.fill(coded, trialRow);
            if (information.trial(trialRow) > LEAST_GAIN) {
              information.accept(trialRow);
              improved = true;
            } else {
              for (const [j, level] of held.entries()) point[j] = level;
              break;
            }
          }
        }
      }
      information.refresh(0);
    }
    if (strides.every((stride, j) => stride === 1 || !numeric.includes(j))) return;
  }
}

/** One or two axes with a direction each. */
type Move = readonly (readonly [axis: number, direction: number])[];

function localMoves(numeric: readonly number[], pairs: boolean): readonly Move[] {
  const single = numeric.flatMap((j): Move[] => [[[j, -1]], [[j, 1]]]);
  if (!pairs) return single;
  const double = single.flatMap((one, i) =>
    single.slice(i + 1).flatMap((two): Move[] => (one[0]![0] === two[0]![0] ? [] : [[one[0]!, two[0]!]])),
  );
  return [...single, ...double];
}

/** Applies a move; false, with the point unchanged, when it leaves the levels or the limits. */
function shift(region: Region, point: number[], move: Move, strides: readonly number[]): boolean {
  const inside = move.every(([j, direction]) => {
    const level = point[j]! + direction * strides[j]!;
    return level >= 0 && level < region.axes[j]!.values.length;
  });
  if (!inside) return false;
  for (const [j, direction] of move) point[j]! += direction * strides[j]!;
  if (region.allows(point)) return true;
  for (const [j, direction] of move) point[j]! -= direction * strides[j]!;
  return false;
}
