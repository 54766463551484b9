import {
  beginWall,
  type GrowthBelief,
  type GrowthState,
  type GrowthTraits,
  growthRow,
  layLayers,
  openingState,
  takeReading,
} from "./growth-state.js";
import type { StateLayout } from "./state-layout.js";
import type { HeightReading, WallSeries } from "./wall-log.js";

/** What the log of walls says of a rig of given traits. */
export interface FilteredWalls {
  readonly logLikelihood: number;
  /** After the last reading. */
  readonly state: GrowthState;
  /** Layer that the state stands before: the last wall's next one. */
  readonly before: number;
  /** Standard deviations each reading lay off what the ones before it foresaw, wall by wall. */
  readonly surprises: readonly (readonly number[])[];
}

/** A place where a log is not what its walls did. */
export interface OddPlace {
  /** Place of the wall and of the reading in it. */
  readonly wall: number;
  readonly reading: number;
  /** The reading itself is wrong, or the torch was moved before it by something the log does not tell. */
  readonly kind: "slip" | "jump";
}

/** What the filter takes as known. */
export interface WallSettings {
  readonly layout: StateLayout;
  readonly belief: GrowthBelief;
  /** Of one reading, mm. */
  readonly gaugeSd: number;
  readonly odd: readonly OddPlace[];
}

/** Sd of a movement of the torch that nobody logged, mm. */
const JUMP_SD = 10;

/**
 * Exact normal filter over all walls: unknowns they share stay, what a wall has of its own is forgotten before the next.
 *
 * @source Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989), section 3.2
 */
export function filterWalls(
  series: readonly WallSeries[],
  traits: GrowthTraits,
  settings: WallSettings,
): FilteredWalls {
  const { layout, belief, odd } = settings;
  const { size, standoff } = layout;
  const reference = belief.standoff;
  const state = openingState(layout, belief, traits);
  const begin = (): void => beginWall(state, layout, { traits, drop: belief.drop.mean, standoff: reference });
  let [logLikelihood, before] = [0, 1];
  begin();
  for (const { layer, growth, sd } of belief.hints) {
    const row = growthRow(layout, layer, traits.heated).fill(0, layout.wall);
    logLikelihood += takeReading(state, size, { row, value: growth, variance: sd * sd }).logLikelihood;
  }
  const rows = { standoff: seen(layout, "standoff"), height: seen(layout, "height") };
  const variance = settings.gaugeSd ** 2 + traits.rippleSd ** 2;
  const surprises = series.map(({ rise, readings }, w) => {
    begin();
    // Without rises the height alone is followed, which no stand-off pulls at.
    const law = rise === null ? { ...traits, slope: 0 } : traits;
    const riseAfter = (layer: number): number => (rise === null ? 0 : rise[layer - 1]!);
    let risen = 0;
    before = 1;
    return readings.map(({ kind, layer, value }, r) => {
      const here = layer + (kind === "height" ? 1 : 0);
      layLayers(state, layout, { from: before, to: here, riseAfter, reference, traits: law });
      for (; before < here; before++) risen += riseAfter(before);
      const oddity = odd.find((place) => place.wall === w && place.reading === r)?.kind;
      if (oddity === "slip") return 0;
      if (oddity === "jump") state.covariance[standoff * size + standoff]! += JUMP_SD ** 2;
      const found = takeReading(state, size, {
        row: rows[kind],
        value: kind === "height" ? value - risen : value,
        variance,
      });
      logLikelihood += found.logLikelihood;
      return oddity === "jump" ? 0 : found.surprise;
    });
  });
  return { logLikelihood, state, before, surprises };
}

/** What a reading adds up from: a stand-off itself, or a height, by which the stand-off has shrunk beside the rises. */
function seen({ size, start, standoff }: StateLayout, kind: HeightReading["kind"]): Float64Array {
  const row = new Float64Array(size);
  row[standoff] = kind === "standoff" ? 1 : -1;
  if (kind === "height") row[start] = 1;
  return row;
}
