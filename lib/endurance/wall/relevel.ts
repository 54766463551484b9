import { foresee, keepsWithin, type WallCourse } from "./foresee.js";
import type { GrowthPosterior } from "./growth-fit.js";
import type { LayerBand } from "./normal-mixture.js";

/** How often to level, and the stand-off then. */
export interface Levelling {
  /** Layers between levellings; null where none is needed. */
  readonly every: number | null;
  readonly relevels: ReadonlySet<number>;
  /** Before each layer, and after the last one. */
  readonly bands: readonly LayerBand[];
  /** Whether the band stays between touch and too long. */
  readonly holds: boolean;
}

const INTERVALS = [100, 50, 40, 30, 25, 20, 15, 12, 10, 8, 6, 5, 4, 3, 2, 1] as const;

/**
 * The longest interval between levellings with which the band stays between touch and too long; the given one where there
 * is one.
 */
export function levelling(
  posterior: GrowthPosterior,
  course: WallCourse,
  limits: { readonly touch: number; readonly tooLong: number; readonly every?: number },
): Levelling {
  const { layers } = course;
  const levelled = (every: number | null): WallCourse => ({
    ...course,
    relevels: new Set(every === null ? [] : levelledLayers(layers, every)),
  });
  const holds = (every: number | null): boolean => keepsWithin(posterior, levelled(every), limits);
  const chosen = (every: number | null, held = holds(every)): Levelling => ({
    every,
    relevels: levelled(every).relevels!,
    bands: foresee(posterior, levelled(every)),
    holds: held,
  });
  if (limits.every !== undefined) return chosen(limits.every >= layers ? null : limits.every);
  if (holds(null)) return chosen(null, true);
  // Rarer levelling holds less: halve the list.
  const intervals = INTERVALS.filter((every) => every < layers);
  let [low, high] = [0, intervals.length - 1];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (holds(intervals[middle]!)) high = middle;
    else low = middle + 1;
  }
  return chosen(intervals[low] ?? null);
}

/** Layers before which a wall is levelled when every so many are laid between. */
function levelledLayers(layers: number, every: number): readonly number[] {
  return Array.from({ length: Math.floor((layers - 1) / every) }, (_, i) => 1 + (i + 1) * every);
}
