import { mean, median } from "../../numeric/index.js";
import type { CourseReadings } from "./course-filter.js";
import { COURSE_BELIEFS, type CourseScales } from "./course-kinds.js";

/** Readings of a course that has begun, and their scales. */
export interface BegunCourse {
  readonly readings: CourseReadings;
  readonly scales: CourseScales;
  /** Before the steepest fall: heat was still arriving or the sensor behind. */
  readonly before: CourseReadings;
}

/** Readings beyond this number are averaged, neighbours together. */
const MOST = 80;
/** Share of its excess over a room, degC, that a part must have lost to show how it cools. */
const LEAST_FALL = 0.03;
const ROOM = COURSE_BELIEFS.room.mean;
/** Fewest readings that make a course. */
export const FEWEST_COURSE = 4;

/** Leaves out what comes before the steepest fall, and takes scales from the rest; null when nothing falls. */
export function begunCourse(readings: CourseReadings): BegunCourse | null {
  const all = averaged(readings);
  const { time, temperature } = all;
  const noise = roughness(all);
  const window = Math.max(3, Math.ceil(time.length / 10));
  const slopes = Array.from({ length: time.length - window + 1 }, (_, i) =>
    lineThrough(time.slice(i, i + window), temperature.slice(i, i + window)),
  );
  const steepest = slopes.reduce((best, { slope }, i) => (slope < slopes[best]!.slope ? i : best), 0);
  const error = noise * Math.hypot(slopes[0]!.scatter, slopes[steepest]!.scatter);
  const late = slopes[0]!.slope - slopes[steepest]!.slope > 3 * error;
  const highest = slopes.reduce((best, { height }, i) => (height > slopes[best]!.height ? i : best), 0);
  const from = late ? Math.max(highest, steepest) : highest;
  // A fall that still quickens at the end of the log says nothing of how it will slow.
  if (time.length - from < Math.max(FEWEST_COURSE, time.length / 3)) return null;
  const used = { time: time.slice(from), temperature: temperature.slice(from) };
  const fallRate = -lineThrough(used.time.slice(0, window), used.temperature.slice(0, window)).slope;
  const first = used.temperature[0]!;
  const lowest = used.temperature.reduce((a, b) => Math.min(a, b));
  if (!(fallRate > 0 && first - lowest > LEAST_FALL * (first - ROOM))) return null;
  return {
    readings: used,
    scales: {
      first,
      highestFloor: Math.min(lowest + 3 * noise, first),
      fallRate,
      span: used.time.at(-1)! - used.time[0]!,
    },
    before: { time: time.slice(0, from), temperature: temperature.slice(0, from) },
  };
}

/** Neighbours averaged, more of them as the fall slows, so that about {@link MOST} readings remain. */
function averaged({ time, temperature }: CourseReadings): CourseReadings {
  const count = time.length;
  if (count <= MOST) return { time, temperature };
  const edges = Array.from({ length: MOST + 1 }, (_, k) => Math.round(count * (k / MOST) ** 2));
  const starts = [...new Set(edges)].slice(0, -1);
  const group = (values: readonly number[]): number[] =>
    starts.map((start, k) => mean(values.slice(start, starts[k + 1])));
  return { time: group(time), temperature: group(temperature) };
}

/** Scatter of readings about the line through their neighbours, K. */
function roughness({ time, temperature }: CourseReadings): number {
  const misses = time.slice(1, -1).flatMap((at, i) => {
    const [t0, t1] = [time[i]!, time[i + 2]!];
    if (t1 === t0) return [];
    const share = (at - t0) / (t1 - t0);
    const miss = temperature[i + 1]! - (1 - share) * temperature[i]! - share * temperature[i + 2]!;
    return [Math.abs(miss) / Math.sqrt(1 + share * share + (1 - share) ** 2)];
  });
  // The median of |z| of a normal z is 0.6745.
  return misses.length === 0 ? 0 : median(misses) / 0.6745;
}

/** Least-squares slope, and its standard error per unit of scatter. */
function lineThrough(
  time: readonly number[],
  value: readonly number[],
): { readonly slope: number; readonly scatter: number; readonly height: number } {
  const [t0, v0] = [mean(time), mean(value)];
  const spread = time.reduce((sum, t) => sum + (t - t0) ** 2, 0);
  if (spread === 0) return { slope: 0, scatter: 0, height: v0 };
  const shared = time.reduce((sum, t, i) => sum + (t - t0) * (value[i]! - v0), 0);
  return { slope: shared / spread, scatter: 1 / Math.sqrt(spread), height: v0 };
}
