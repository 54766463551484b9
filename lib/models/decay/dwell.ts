import { type Finding, requireCount } from "../../errors/index.js";
import { fixed, percent, significant } from "../../numeric/index.js";
import { requireSetting } from "../../process/index.js";
import type { CoolingCourse } from "./cooling-course.js";
import { crossingTimes } from "./course-forecast.js";
import type { LevelTime } from "./time-to-level.js";

/** Wait to an interpass temperature, and what stands against it; limits that allow for the law not being known. */
export interface Dwell extends LevelTime {
  /** Whether the part had got there when the log ended. */
  readonly logged: boolean;
  readonly draws: number;
  readonly seed: number;
  readonly findings: readonly Finding[];
}

/** A range whose ends lie further apart than this is said to be wide. */
const WIDE = 3;

/**
 * Dwell after arc-off until a part is at an interpass temperature.
 *
 * Within the log it is nearly read off; beyond it courses are drawn from what the log leaves possible. The safe end is
 * `upper`. Holds for the layer that was logged: later layers start hotter and cool more slowly. Check with a
 * thermometer.
 *
 * @param interpass - degC
 * @param options.draws - Default 1000
 * @param options.seed - Default 1
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function dwellTo(
  course: CoolingCourse,
  interpass: number,
  options: { readonly draws?: number; readonly seed?: number } = {},
): Dwell {
  const { draws = 1000, seed = 1 } = options;
  requireSetting("temperature", interpass);
  requireCount("draws", draws, { min: 100 });
  const { level, courses, readings } = course;
  const told = { target: interpass, draws, seed };
  const early = withinLeftOut(course, interpass);
  if (early !== null) return { ...told, ...early, reach: "reached", logged: true, findings: [] };

  const times = crossingTimes({ course, level: interpass, draws, seed });
  const at = (chance: number): number | null => {
    const time = times[Math.round(chance * (draws - 1))]!;
    return Number.isFinite(time) ? Math.max(0, time) : null;
  };
  const [lower, estimate, upper] = [at((1 - level) / 2), at(0.5), at((1 + level) / 2)];
  const reached = courses.reduce((sum, { floor }) => (floor < interpass ? sum + 1 : sum), 0) / courses.length;
  const reach = upper !== null ? "reached" : reached < (1 - level) / 2 ? "never" : "unsure";
  const logged = upper !== null && upper <= readings.time.at(-1)!;
  const dwell = { ...told, estimate, lower, upper, reach, logged } as const;
  return { ...dwell, findings: dwellFindings(course, dwell, reached) };
}

/** Crossing among the readings left out, between its neighbours; null when it is not there. */
function withinLeftOut(
  { before, readings }: CoolingCourse,
  level: number,
): Pick<LevelTime, "estimate" | "lower" | "upper"> | null {
  const next = readings.temperature[0]!;
  if (before.time.length === 0 || level < next) return null;
  const hotter = before.temperature.findLastIndex((value) => value > level);
  if (hotter < 0) return { estimate: 0, lower: 0, upper: 0 };
  const time = [...before.time, readings.time[0]!];
  const temperature = [...before.temperature, next];
  const [lower, upper] = [time[hotter]!, time[hotter + 1]!];
  const share = (temperature[hotter]! - level) / (temperature[hotter]! - temperature[hotter + 1]!);
  return { estimate: lower + share * (upper - lower), lower, upper };
}

function dwellFindings(
  { floor, readings, level }: CoolingCourse,
  { target, estimate, lower, upper, reach, logged }: Omit<Dwell, "findings">,
  reached: number,
): readonly Finding[] {
  const wanted = `${significant(target)} degC`;
  const end = `the log ends at ${fixed(readings.temperature.at(-1)!, 0)} degC after ${fixed(readings.time.at(-1)!, 0)} s`;
  const longer = `log on until the part is at ${wanted}, or nearly; check with a thermometer until then`;
  if (reach === "never") {
    return [
      {
        code: "interpass-unreachable",
        severity: "error",
        message: `the part cools towards ${fixed(floor.estimate, 0)} degC and never gets to ${wanted}`,
        advice: "take a higher interpass temperature, or cool the base better",
      },
    ];
  }
  if (reach === "unsure") {
    return [
      {
        code: "interpass-unsure",
        severity: "warning",
        message: `no safe dwell to ${wanted} can be told: ${end}${lower === null ? "" : `; not before ${significant(lower)} s`}, and ${reached < level ? `the base may stay as hot (chance that it cools below ${wanted}: ${percent(reached, 0)})` : "the fall may slow down further"}`,
        advice: `${longer}, or measure the surroundings and give them`,
      },
    ];
  }
  if (logged || target >= readings.temperature.at(-1)!) return [];
  const wide = upper! > WIDE * Math.max(lower ?? 0, 1);
  return [
    {
      code: "beyond-log",
      severity: wide ? "warning" : "info",
      message: `${wanted} lies beyond the log (${end}): ${estimate === null ? "" : `about ${significant(estimate)} s, `}${percent(level, 0)} sure of ${significant(lower ?? 0)} to ${significant(upper!)} s, whichever way the part cools on`,
      advice: wide ? longer : `wait ${significant(upper!)} s to be safe`,
    },
  ];
}
