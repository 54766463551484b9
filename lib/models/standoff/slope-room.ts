import { normalQuantile } from "../../numeric/index.js";
import type { Kind } from "./kinds.js";
import type { StationSeries } from "./layer-log.js";

/** Slopes a table of {@link slopeRoom} covers; beyond 1 a stand-off swings, and beyond 2 the term would explode again. */
const RANGE = 1;
const STEP = 0.02;

/**
 * Restricted likelihood's correction for having estimated the first stand-off and the growth of each place: without
 * it every log looks more regulated than its rig, by about four slopes' worth in the number of layers.
 *
 *     1/2 ln |X' X|, X = [phi^n, -(1 - phi^n)/(1 - phi)], phi = 1 - kappa
 *
 * Held at its value for kappa = 0 below 0, and at that for 1 above 1: outside of 0 to 2 it grows without limit with the
 * length of the log and makes an explosive slope as likely as a stable one. Taken relative to its value at 0.
 *
 * @returns table lookup by slope
 * @source Harville, JASA 72 (1977) 320 (restricted likelihood); Cheang and Reinsel, JASA 95 (2000) 1173
 */
export function slopeRoom(series: readonly StationSeries[]): (slope: number) => number {
  const table = Array.from({ length: Math.round(RANGE / STEP) + 1 }, (_, i) =>
    series.reduce((sum, one) => sum + halfLogGram(one, 1 - i * STEP), 0),
  );
  return (slope) => {
    if (slope <= 0) return 0;
    const place = Math.min(slope, RANGE) / STEP;
    const low = Math.min(Math.floor(place), table.length - 2);
    return table[low]! + (place - low) * (table[low + 1]! - table[low]!) - table[0]!;
  };
}

/** Half the log determinant of X' X, by projection of the second column off the first. */
function halfLogGram({ standoff }: StationSeries, keep: number): number {
  const [starts, growths]: [number[], number[]] = [[], []];
  let [start, grown] = [1, 0];
  for (const measured of standoff) {
    if (measured !== null) {
      starts.push(start);
      growths.push(grown);
    }
    start *= keep;
    grown = keep * grown - 1;
  }
  const first = starts.reduce((sum, a) => sum + a * a, 0);
  const shared = starts.reduce((sum, a, i) => sum + a * growths[i]!, 0) / first;
  const rest = growths.reduce((sum, b, i) => sum + (b - shared * starts[i]!) ** 2, 0);
  return 0.5 * Math.log(first * rest);
}

/** Prior points over which a structure's correction is averaged, in standard deviations. */
const PRIOR_POINTS: readonly number[] = Array.from({ length: 64 }, (_, i) => normalQuantile((i + 0.5) / 64));

/** Log mean of the correction over the slopes a structure believes in. */
export function meanRoom(kind: Kind, room: (slope: number) => number): number {
  const z = new Float64Array(kind.unknowns.length);
  const place = kind.unknowns.indexOf("slope");
  if (place < 0) return 0;
  let sum = 0;
  for (const point of PRIOR_POINTS) {
    z[place] = point;
    sum += Math.exp(room(kind.traits(z).slope));
  }
  return Math.log(sum / PRIOR_POINTS.length);
}
