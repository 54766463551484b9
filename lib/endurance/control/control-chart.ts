import { type Finding, onlyDefined, requireCount, requireNumber, requireThat } from "../../errors/index.js";
import { percent, significant } from "../../numeric/index.js";
import {
  CUSUM,
  cusum,
  EWMA,
  ewma,
  INDIVIDUAL_WIDTH,
  movingRanges,
  RANGE_LIMIT,
  RANGE_OF_TWO,
  type Steady,
  steadyFrom,
} from "./charts.js";
import { type ControlChartName, type FalseAlarms, falseAlarms, nearness, SHIFT } from "./false-alarms.js";
import { scatterFindings } from "./normal-scatter.js";
import { type ControlReading, FEWEST_READINGS } from "./series.js";

/** What the charts are held against. */
export interface ControlOptions {
  /** The first so many readings give centre and scatter. Default all. */
  readonly baseline?: number;
  /** Centre that is known otherwise. Default the mean of the baseline. */
  readonly centre?: number;
  /** Standard deviation of a steady rig that is known otherwise. Default from the moving ranges of the baseline. */
  readonly sd?: number;
}

/** A reading in all charts. */
export interface ControlPoint extends ControlReading {
  /** Distance to the reading before; null for the first. */
  readonly movingRange: number | null;
  /** Exponentially weighted moving average, and its limits. */
  readonly average: number;
  readonly averageLower: number;
  readonly averageUpper: number;
  /** Cumulative sums of what lay above and below. */
  readonly sumUp: number;
  readonly sumDown: number;
  /** Charts on which this reading lies beyond a limit. */
  readonly signals: readonly ControlChartName[];
}

/** A lasting change as the cumulative sums place it. */
export interface Shift {
  readonly direction: "up" | "down";
  /** The reading it began with, most likely. */
  readonly since: string;
  /** The first reading beyond a limit of the sums or the average. */
  readonly seen: string;
  /** Mean level after it less that before it; before it is the centre where the centre was given or had a baseline. */
  readonly size: number;
  /** Changes of equipment logged before `since` or the reading before or after it. */
  readonly near: readonly string[];
}

/** Control charts of one quantity. */
export interface ControlChart extends Steady, FalseAlarms {
  readonly points: readonly ControlPoint[];
  /** Readings that centre and scatter rest on; 0 where both were given. */
  readonly baseline: number;
  /** Limits of single readings. */
  readonly lower: number;
  readonly upper: number;
  /** Limit of moving ranges. */
  readonly rangeUpper: number;
  /** Limit of the cumulative sums. */
  readonly sumLimit: number;
  /** Single readings far off. */
  readonly far: readonly string[];
  /** The first lasting change; null when none shows. */
  readonly shift: Shift | null;
  readonly findings: readonly Finding[];
}

/** Below so many readings, limits are wide. */
const FEW_READINGS = 8;

/**
 * Holds readings of one thing against its own centre and scatter: single readings with moving ranges, an exponentially
 * weighted moving average and two cumulative sums, which see what a single reading does not. All limits are widened for
 * the few readings that centre and scatter rest on.
 *
 * @throws {BeadbenchError} `bad-argument` for fewer than 4 readings, readings that are all alike where no scatter is
 *   given, or options out of range
 * @source NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2
 */
export function controlChart(
  readings: readonly ControlReading[],
  options: ControlOptions = {},
): ControlChart {
  requireThat(
    readings.length >= FEWEST_READINGS,
    `a control chart needs at least ${FEWEST_READINGS} readings, got ${readings.length}; go on logging`,
  );
  const values = readings.map(({ value }) => requireNumber("a reading", value));
  const count = values.length;
  const baseline = requireCount("baseline", options.baseline ?? count, { min: FEWEST_READINGS, max: count });
  const given = {
    centreGiven: options.centre !== undefined,
    sdGiven: options.sd !== undefined,
  };
  const steady: Steady = { ...steadyFrom(values.slice(0, baseline)), ...givenOf(options) };
  requireThat(
    steady.sd > 1e-12 * Math.abs(steady.centre),
    `the ${baseline} readings are all alike, so they tell no scatter: read to another digit, or say what scatter a steady rig has`,
  );
  const alarms = falseAlarms({ readings: count, baseline, ...given });
  const { widening } = alarms;
  const { centre, sd } = steady;
  const averages = ewma(values, steady);
  const sums = cusum(values, steady);
  const near = nearness(values, steady);
  const ranges = movingRanges(values);
  const points = readings.map((reading, i): ControlPoint => {
    const half = widening * EWMA.width * averages[i]!.sd;
    const beyond = Object.entries(near[i]!).filter(([, value]) => value > widening);
    return {
      ...reading,
      movingRange: i === 0 ? null : ranges[i - 1]!,
      average: averages[i]!.average,
      averageLower: centre - half,
      averageUpper: centre + half,
      sumUp: sums[i]!.up,
      sumDown: sums[i]!.down,
      signals: beyond.map(([name]) => name as ControlChartName),
    };
  });
  const shift = lastingShift({ points, centre, fromAll: !given.centreGiven && baseline === count });
  const far = points.filter(({ signals }) => signals.includes("single")).map(({ label }) => label);
  const half = widening * INDIVIDUAL_WIDTH * sd;
  const rests = given.centreGiven && given.sdGiven ? 0 : baseline;
  return {
    ...steady,
    ...alarms,
    points,
    baseline: rests,
    lower: centre - half,
    upper: centre + half,
    rangeUpper: widening * RANGE_LIMIT * RANGE_OF_TWO.mean * sd,
    sumLimit: widening * CUSUM.limit * sd,
    far,
    shift,
    findings: [
      ...findingsOf({ far, shift, rests, sd, seen: alarms.seen }),
      // A step or a drift spreads readings too: only a steady record tells of its scatter.
      ...(shift === null ? scatterFindings(values) : []),
    ],
  };
}

const givenOf = ({ centre, sd }: ControlOptions): Partial<Steady> => ({
  ...onlyDefined({ centre: centre === undefined ? undefined : requireNumber("centre", centre) }),
  ...onlyDefined({
    sd: sd === undefined ? undefined : requireNumber("sd of a steady rig", sd, { above: 0 }),
  }),
});

/**
 * The lasting change that a sum or an average gave away: the split of the readings that explains most. Where the centre
 * came from all of them it lies between two levels, else between the centre and what followed it.
 */
function lastingShift({
  points,
  centre,
  fromAll,
}: {
  readonly points: readonly ControlPoint[];
  readonly centre: number;
  readonly fromAll: boolean;
}): Shift | null {
  const seen = points.findIndex(({ signals }) => signals.includes("sum") || signals.includes("average"));
  if (seen < 0) return null;
  const end = fromAll ? points.length : seen + 1;
  const off = points.slice(0, end).map(({ value }) => value - centre);
  let [best, since, size] = [-1, 0, 0];
  let after = 0;
  for (let start = end - 1; start >= (fromAll ? 1 : 0); start--) {
    after += off[start]!;
    const count = end - start;
    const explained = after ** 2 / count + (fromAll ? after ** 2 / start : 0);
    if (explained <= best) continue;
    [best, since, size] = [explained, start, after / count + (fromAll ? after / start : 0)];
  }
  if (!fromAll) {
    // The readings that gave it away are by choice those furthest off: all that followed tell the size.
    const followed = points.slice(since);
    size = followed.reduce((sum, { value }) => sum + value - centre, 0) / followed.length;
  }
  return {
    direction: size > 0 ? "up" : "down",
    since: points[since]!.label,
    seen: points[seen]!.label,
    size,
    near: points.slice(Math.max(0, since - 1), since + 2).flatMap(({ change }) => change ?? []),
  };
}

/**
 * Relative standard deviation of a scatter from so many readings' moving ranges. Neighbouring ranges share a reading:
 * their covariance is that of two absolute normal values correlated by -1/2.
 */
function rangeDoubt(readings: number): number {
  const ranges = readings - 1;
  const [own, shared] = [RANGE_OF_TWO.sd ** 2, (4 / Math.PI) * (Math.sqrt(0.75) + Math.PI / 12 - 1)];
  return Math.sqrt(own / ranges + (2 * shared * (ranges - 1)) / ranges ** 2) / RANGE_OF_TWO.mean;
}

function findingsOf({
  far,
  shift,
  rests,
  sd,
  seen,
}: {
  readonly far: readonly string[];
  readonly shift: Shift | null;
  readonly rests: number;
  readonly sd: number;
  readonly seen: number;
}): readonly Finding[] {
  const findings: Finding[] = [];
  if (shift !== null) {
    const by = `${significant(Math.abs(shift.size), 2)} ${shift.direction === "up" ? "higher" : "lower"}`;
    findings.push({
      code: "rig-shifted",
      severity: "warning",
      message: `readings have lain about ${by} since ${shift.since}${shift.near.length === 0 ? "; no change of equipment is logged near it" : `; logged near it: ${shift.near.join(", ")}`}`,
      advice:
        "run the control coupon again before anything is turned; if it holds, find what changed (wire, tungsten, gas, cable, cooling, gauge), log the change, and do not compare coupons across it without a block",
      about: [shift.since, shift.seen],
    });
  }
  if (far.length > 0) {
    findings.push({
      code: "reading-far-off",
      severity: "warning",
      message: `${far.join(", ")} ${far.length === 1 ? "lies" : "lie"} beyond the limits of single readings`,
      advice:
        "look for a slip of the pen or the gauge, then for a cause on that day; run it once more rather than correct the rig for one coupon",
      about: far,
    });
  }
  if (rests > 0 && rests < FEW_READINGS) {
    findings.push({
      code: "few-control-readings",
      severity: "info",
      message: `centre and scatter rest on ${rests} readings, whose scatter may be off by ${percent(rangeDoubt(rests))}: limits are wide, and only a gross change shows`,
      advice: "run one control coupon per session; from about 20 on the limits are worth trusting",
    });
  }
  if (far.length === 0 && shift === null) {
    findings.push({
      code: "no-drift-shown",
      severity: "info",
      message: `no drift shows, which is no proof of a steady rig: a lasting shift of ${significant(SHIFT * sd, 2)} over the last half of these readings would be seen in ${percent(seen)} of cases`,
    });
  }
  return findings;
}
