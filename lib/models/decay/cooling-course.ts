import { BeadbenchError, type Finding, onlyDefined, requireNumber } from "../../errors/index.js";
import { exploreAround, findPeak, fixed, percent, resample, significant } from "../../numeric/index.js";
import { requireSetting } from "../../process/index.js";
import type { CoolingReading } from "./cooling.js";
import { type CoolingSlip, coolingSlips } from "./cooling-slips.js";
import { type CourseReadings, type CourseTraits, filterCourse } from "./course-filter.js";
import { type CourseFloor, type CourseLaw, courseKinds } from "./course-kinds.js";
import { begunCourse, FEWEST_COURSE } from "./course-readings.js";

/** A structure and its chance after the log. */
export interface CourseChance {
  readonly law: CourseLaw;
  readonly floor: CourseFloor;
  readonly chance: number;
}

/** What readings leave possible of how a part cools. Survives JSON. */
export interface CoolingCourse {
  readonly status: "cooling";
  readonly kinds: readonly CourseChance[];
  /** Courses of equal chance. */
  readonly courses: readonly CourseTraits[];
  /** Chance that one exponential tells it all. */
  readonly oneExponential: number;
  /** What the part cools towards, degC: median, and where it lies at the level. */
  readonly floor: {
    readonly estimate: number;
    readonly lower: number;
    readonly upper: number;
    /** Whether the readings narrowed it down, or it was given; else it is what parts usually stand in. */
    readonly told: boolean;
  };
  /** Used, neighbours averaged where there are many. */
  readonly readings: CourseReadings;
  /** Left out, from before the fall was steepest. */
  readonly before: CourseReadings;
  /** Readings left out because no part shows them between their neighbours. */
  readonly slips: readonly CoolingSlip[];
  readonly level: number;
  readonly findings: readonly Finding[];
}

/** Readings that end before the fall has begun to slow. */
export interface UnbegunCourse {
  readonly status: "not-begun";
  readonly findings: readonly Finding[];
}

/** Points at which each structure is tried. */
const POINTS = 256;
/** Courses kept for forecasts. */
const COURSES = 500;
/** Structures this far below the likeliest in log chance are not looked at more closely. */
const NEGLIGIBLE = 8;
/** Width of the floor's limits, K, up to which the readings have told it: half of what a room may be. */
const TOLD = 16;
/** Chance of one exponential below which it is said not to do. */
const UNLIKELY = 0.05;

/**
 * How a part cools, when its law is not known: averaged over structures by their chance, since a short log seldom
 * tells them apart.
 *
 *     T = Tf + S + F, d(ln S)/dt = -lambda (s/s1)^-m, d(ln F)/dt = -mu, s = time + age
 *
 * One exponential; two; one that slows as heat runs into the wall or radiation fades; or one whose slowing changes on
 * the way. Towards a room, or a base that stays hot. Within each a Kalman filter, with reading errors that scatter and
 * that last, and importance sampling of the unknowns; see {@link COURSE_BELIEFS}.
 *
 * @param options.surroundings - degC of the air, when known: the base may still stay hotter
 * @param options.level - of the limits. Default 0.95
 * @param options.slips - whether readings that are slips of the pen ({@link coolingSlips}) are left out, and named in the
 *   findings, or kept because the caller has looked for them. Default "left-out"
 * @throws {BeadbenchError} `bad-argument` for a reading no part shows, `not-enough-data` below four readings
 * @source Hoeting, Madigan, Raftery and Volinsky, Statist. Sci. 14 (1999) 382 (averaging over structures)
 */
export function coolingCourse(
  readings: readonly CoolingReading[],
  options: {
    readonly surroundings?: number;
    readonly level?: number;
    readonly slips?: "left-out" | "kept";
  } = {},
): CoolingCourse | UnbegunCourse {
  const { surroundings, level = 0.95 } = options;
  requireNumber("level", level, { above: 0, below: 1 });
  if (surroundings !== undefined) requireSetting("temperature", surroundings);
  const all = inOrder(readings);
  const slips = options.slips === "kept" ? [] : coolingSlips(readings, onlyDefined({ surroundings }));
  const slipped = new Set(slips.map(({ index }) => index));
  const begun = begunCourse(
    slips.length === 0 ? all : inOrder(readings.filter((_, index) => !slipped.has(index))),
  );
  if (begun === null) return notBegun(readings.length);
  const { kinds, courses } = explore(begun.readings, courseKinds(begun.scales, surroundings));
  const floors = Float64Array.from(courses, ({ floor }) => floor).sort();
  const at = (chance: number): number => floors[Math.round(chance * (floors.length - 1))]!;
  const [lower, upper] = [at((1 - level) / 2), at((1 + level) / 2)];
  const floor = { estimate: at(0.5), lower, upper, told: upper - lower <= TOLD };
  const oneExponential = kinds.reduce(
    (sum, { law, chance }) => (law === "one-exponential" ? sum + chance : sum),
    0,
  );
  const { readings: used, before } = begun;
  return {
    status: "cooling",
    kinds,
    courses,
    oneExponential,
    floor,
    readings: used,
    before,
    slips,
    level,
    findings: [...slips.map(leftOutSlip), ...courseFindings({ oneExponential, floor, used, before })],
  };
}

function leftOutSlip({ time, temperature, expected, meant }: CoolingSlip): Finding {
  const guess = meant === undefined ? "" : `; was ${fixed(meant.value, 0)} degC meant (${meant.how})?`;
  return {
    code: "mistyped-reading",
    severity: "warning",
    message: `the reading of ${fixed(temperature, 0)} degC at ${significant(time)} s, where its neighbours foresee ${fixed(expected, 0)} degC, is left out${guess}`,
    advice: "mend the reading, or leave it out where nobody knows what was read",
  };
}

function inOrder(readings: readonly CoolingReading[]): CourseReadings {
  const sorted = [...readings].sort((a, b) => a.time - b.time);
  for (const { time, temperature } of sorted) {
    requireNumber("time of a reading", time, { min: 0, unit: "s" });
    requireSetting("temperature", temperature);
  }
  const times = new Set(sorted.map(({ time }) => time)).size;
  if (times < FEWEST_COURSE) {
    throw new BeadbenchError(
      "not-enough-data",
      `a cooling curve takes readings at ${FEWEST_COURSE} different times or more, got ${sorted.length} at ${times}`,
    );
  }
  return {
    time: sorted.map(({ time }) => time),
    temperature: sorted.map(({ temperature }) => temperature),
  };
}

function explore(
  readings: CourseReadings,
  structures: ReturnType<typeof courseKinds>,
): { readonly kinds: readonly CourseChance[]; readonly courses: readonly CourseTraits[] } {
  // Structures share their unknowns: each is sought from the middle and from where the last one was found.
  const last = new Map<string, number>();
  const peaks = structures.map((kind) => {
    const likelihood = (z: Float64Array): number => filterCourse(readings, kind.traits(z)).logLikelihood;
    const starts = [kind.unknowns.map(() => 0), kind.unknowns.map((name) => last.get(name) ?? 0)];
    const peak = starts
      .map((start) => findPeak(likelihood, start))
      .reduce((best, other) => (other.logEvidence > best.logEvidence ? other : best));
    kind.unknowns.forEach((name, i) => {
      last.set(name, peak.at[i]!);
    });
    return { kind, likelihood, peak, logChance: Math.log(kind.chance) + peak.logEvidence };
  });
  const best = peaks.reduce((most, { logChance }) => Math.max(most, logChance), Number.NEGATIVE_INFINITY);
  const tried = peaks
    .filter(({ logChance }) => logChance > best - NEGLIGIBLE)
    .flatMap(({ kind, likelihood, peak }) => {
      const { points, logWeights } = exploreAround(likelihood, peak, POINTS);
      return points.map((z, i) => ({ kind, z, logWeight: Math.log(kind.chance) + logWeights[i]! }));
    });
  const highest = tried.reduce((most, { logWeight }) => Math.max(most, logWeight), Number.NEGATIVE_INFINITY);
  const weights = tried.map(({ logWeight }) => Math.exp(logWeight - highest));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return {
    kinds: structures.map((kind) => ({
      law: kind.law,
      floor: kind.floor,
      chance: tried.reduce((sum, one, i) => (one.kind === kind ? sum + weights[i]! : sum), 0) / total,
    })),
    courses: resample(weights, COURSES).map((i) => tried[i]!.kind.traits(tried[i]!.z)),
  };
}

function notBegun(count: number): UnbegunCourse {
  return {
    status: "not-begun",
    findings: [
      {
        code: "cooling-not-begun",
        severity: "error",
        message: `the temperature does not fall, or falls faster and faster, to the end of the ${count} readings: heat was still arriving`,
        advice:
          "log on until the fall slows down, or measure nearer to the bead; check that times count from arc-off",
      },
    ],
  };
}

function courseFindings({
  oneExponential,
  floor,
  used,
  before,
}: {
  readonly oneExponential: number;
  readonly floor: CoolingCourse["floor"];
  readonly used: CourseReadings;
  readonly before: CourseReadings;
}): readonly Finding[] {
  const findings: Finding[] = [];
  if (before.time.length > 0) {
    findings.push({
      code: "early-readings-left-out",
      severity: "info",
      message: `readings before ${significant(used.time[0]!)} s are left out (${before.time.length}): the fall was not at its steepest yet, so heat was still arriving or the sensor behind`,
    });
  }
  if (oneExponential < UNLIKELY) {
    findings.push({
      code: "not-one-exponential",
      severity: "info",
      message: `the part does not cool at one rate (chance ${percent(oneExponential, 1)}): heat runs into the wall and is radiated, or the base cools more slowly; one time constant is a mean over the log`,
    });
  }
  if (!floor.told) {
    const lowest = used.temperature.reduce((a, b) => Math.min(a, b));
    findings.push({
      code: "floor-not-told",
      severity: "warning",
      message: `the log is too short to tell the temperature of the surroundings: its last readings are at ${fixed(lowest, 0)} degC; ${fixed(floor.lower, 0)} to ${fixed(floor.upper, 0)} degC is taken for them, a room or a base that stays warm`,
      advice: "log until the part hardly cools any more, or measure the surroundings and give them",
    });
  }
  return findings;
}
