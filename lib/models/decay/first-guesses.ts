import type { DecayForm } from "./decay-model.js";
import type { DecayReading } from "./types.js";

/**
 * Starting values of a decay: the floor a little under the readings (or as given), the rate from the time at which
 * half of the fall, on a logarithmic scale, is done.
 */
export function firstGuesses(readings: readonly DecayReading[], { scatter, floor }: DecayForm): number[][] {
  const sorted = [...readings].sort((a, b) => a.time - b.time);
  const values = sorted.map(({ value }) => value);
  const least = Math.min(...values);
  const range = Math.max(...values) - least || 1;
  const base = scatter === "proportional" ? 0 : Math.min(floor ?? least, least) - 0.05 * range;
  const heights = values.map((value) => Math.log(value - base));
  const middle = (heights[0]! + Math.min(...heights)) / 2;
  const first = sorted[0]!.time;
  const span = sorted.at(-1)!.time - first;
  const half = sorted.find((_, i) => heights[i]! <= middle)?.time ?? first + span / 2;
  const rate = Math.max(heights[0]! - middle, 0.1) / (half > first ? half - first : span);
  const floors = floor === undefined ? (scatter === "proportional" ? [0.9, 0.3] : [1]) : [0];
  return floors.map((share) => {
    const guess = floor ?? (scatter === "proportional" ? share * least : base);
    const rise = Math.max(values[0]! - guess, 0.1 * range) * Math.exp(rate * first);
    return floor === undefined ? [guess, rise, rate] : [rise, rate];
  });
}
