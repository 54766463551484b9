import { randomStream } from "../../numeric/index.js";
import { CUSUM, cusum, EWMA, ewma, INDIVIDUAL_WIDTH, type Steady, steadyFrom } from "./charts.js";

/** The charts that look for a rig that is no longer as it was. */
export type ControlChartName = "single" | "average" | "sum";

/**
 * How near a reading comes to the limit of each chart: 1 at the limit. `Infinity` where there is no scatter to compare
 * with and the reading is off.
 */
export function nearness(
  values: readonly number[],
  steady: Steady,
): readonly Readonly<Record<ControlChartName, number>>[] {
  const { centre, sd } = steady;
  const averages = ewma(values, steady);
  const sums = cusum(values, steady);
  const over = (off: number, limit: number): number => (off === 0 ? 0 : off / limit);
  return values.map((value, i) => ({
    single: over(Math.abs(value - centre), INDIVIDUAL_WIDTH * sd),
    average: over(Math.abs(averages[i]!.average - centre), EWMA.width * averages[i]!.sd),
    sum: over(Math.max(sums[i]!.up, sums[i]!.down), CUSUM.limit * sd),
  }));
}

/** What decides how often a steady rig signals. */
export interface ChartPlan {
  /** Readings in all. */
  readonly readings: number;
  /** The first so many readings give what is not given. */
  readonly baseline: number;
  readonly centreGiven: boolean;
  readonly sdGiven: boolean;
}

/** Simulated records of a steady rig; the error of a chance of 0.1 is then 0.005. */
const RECORDS = 4000;

/** How far limits must be widened, and how often a steady rig signals then. */
export interface FalseAlarms {
  /** Factor on all limits, at least 1. */
  readonly widening: number;
  /** Chance that a record of this length of a steady rig has a signal on any of the charts. */
  readonly chance: number;
  /** Chance that a shift by {@link SHIFT} standard deviations over the last half of the record gives a signal. */
  readonly seen: number;
}

/** The shift that a record is asked about, in standard deviations. */
export const SHIFT = 2;

/**
 * How much all limits must be widened because centre and scatter rest on few readings, so that a steady rig signals no
 * more often than with both known, by simulation of normal readings (the same every time). Heavy tails, or readings that
 * run together within sessions, signal more often.
 */
export function falseAlarms(plan: ChartPlan): FalseAlarms {
  const key = JSON.stringify([plan.readings, plan.baseline, plan.centreGiven, plan.sdGiven]);
  const found = simulated.get(key) ?? simulate(plan);
  simulated.set(key, found);
  return found;
}

/** Plans simulated so far: the answer depends on nothing else. */
const simulated = new Map<string, FalseAlarms>();

function simulate({ readings, baseline, centreGiven, sdGiven }: ChartPlan): FalseAlarms {
  const stream = randomStream(readings * 1000 + baseline);
  const known: number[] = [];
  const used: number[] = [];
  const shifted: number[] = [];
  const asUsed = (values: readonly number[]): number => {
    const found = steadyFrom(values.slice(0, baseline));
    return nearest(values, { centre: centreGiven ? 0 : found.centre, sd: sdGiven ? 1 : found.sd });
  };
  for (let record = 0; record < RECORDS; record++) {
    const values = Array.from({ length: readings }, () => stream.normal());
    known.push(nearest(values, { centre: 0, sd: 1 }));
    used.push(asUsed(values));
    shifted.push(asUsed(values.map((value, i) => (i < readings / 2 ? value : value + SHIFT))));
  }
  const chanceKnown = known.filter((near) => near > 1).length / RECORDS;
  used.sort((a, b) => a - b);
  const widening = Math.max(1, used[Math.ceil((1 - chanceKnown) * RECORDS) - 1]!);
  const share = (all: readonly number[]): number => all.filter((near) => near > widening).length / RECORDS;
  return { widening, chance: share(used), seen: share(shifted) };
}

const nearest = (values: readonly number[], steady: Steady): number =>
  nearness(values, steady).reduce(
    (most, { single, average, sum }) => Math.max(most, single, average, sum),
    0,
  );
