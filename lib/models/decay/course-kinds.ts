import type { CourseTraits } from "./course-filter.js";

/** How a part sheds its heat: at one rate, at one that slows steadily, or at one whose slowing changes on the way. */
export type CourseLaw = "one-exponential" | "two-exponentials" | "slowing" | "changing";
/** What the part cools towards: given, a room, or a base that stays hot. */
export type CourseFloor = "given" | "room" | "warm";

/** Beliefs about a cooling part before its log; common practice, no source. */
export const COURSE_BELIEFS = {
  law: { "one-exponential": 0.25, "two-exponentials": 0.2, slowing: 0.2, changing: 0.35 },
  /** Of one rate for a part as hot as this at first, degC: radiation slows what is hot, and hotter parts more. */
  oneRate: { cool: 300, hot: 600, leftWhenHot: 0.1 },
  /** What does not cool towards a room: a heated base, or one so large that it stays hot. */
  warm: 0.4,
  /** K above the room. */
  warmAbove: { median: 100, factor: 2 },
  /** degC. */
  room: { mean: 22, sd: 8 },
  /** 1 - m where it stays: from 1 on a part would stop short of its surroundings. */
  slowing: { median: 0.6, factor: 1.6 },
  /** m where it changes: first, in the long run, how far it strays, and the length in ln s over which it does. */
  straying: {
    first: 0.6,
    firstSd: 0.6,
    usual: 0.4,
    usualSd: 0.4,
    sd: { median: 0.65, factor: 1.8 },
    length: 0.35,
  },
  /** Age of the curve at arc-off, as share of the log's length. */
  age: { median: 0.1, factor: 2.5 },
  /** K. */
  readingSd: { median: 0.7, factor: 2.5 },
  /**
   * Share of the first temperature, degC (a class 1 thermocouple errs by 0.4 %, IEC 60584-1, from memory; emissivity
   * changes by more); how long, as share of the log's length.
   */
  wander: { sd: { median: 0.004, factor: 2 }, time: 0.15 },
  /** Of ln(share/(1 - share)) of the fast part; its rate over the slow one. */
  fast: { share: { mean: 0, sd: 1.5 }, rate: { median: 8, factor: 3 }, slowing: 0.3 },
  /** Of the rate at the first reading, about the slope of the first readings. */
  rateFactor: 2.5,
} as const;

/** A structure a part may have: traits by standard normal coordinates, one per unknown. */
export interface CourseKind {
  readonly law: CourseLaw;
  readonly floor: CourseFloor;
  /** Before the log. */
  readonly chance: number;
  readonly unknowns: readonly string[];
  readonly traits: (coordinates: Float64Array) => CourseTraits;
}

/** What the readings say at first sight, to scale the beliefs by. */
export interface CourseScales {
  /** degC, of the first reading. */
  readonly first: number;
  /** degC, the highest a floor can be. */
  readonly highestFloor: number;
  /** K/s at the first reading. */
  readonly fallRate: number;
  /** s. */
  readonly span: number;
}

/** What a law has of its own. */
type LawTraits = Pick<CourseTraits, "slowing" | "straying" | "age"> & {
  /** Of the fast part: its share of the first excess, and its rate over the slow one. */
  readonly fast: { readonly share: number; readonly times: number } | null;
};

interface Law {
  readonly unknowns: readonly string[];
  /** By the coordinates of its unknowns; `heat` is 0 for a cool part and 1 for one that radiates. */
  readonly traits: (z: ArrayLike<number>, span: number, heat: number) => LawTraits;
}

const logBelief = ({ median, factor }: { readonly median: number; readonly factor: number }, z: number) =>
  median * factor ** z;

const laws: Readonly<Record<CourseLaw, Law>> = {
  "one-exponential": {
    unknowns: [],
    traits: (_z, span) => ({ slowing: 0, straying: null, age: span, fast: null }),
  },
  "two-exponentials": {
    unknowns: ["fastShare", "fastRate"],
    traits(z, span, heat) {
      const { share, rate, slowing } = COURSE_BELIEFS.fast;
      return {
        slowing: slowing * heat,
        straying: null,
        age: span,
        fast: {
          share: 1 / (1 + Math.exp(-share.mean - share.sd * z[0]!)),
          times: 1 + logBelief(rate, z[1]!),
        },
      };
    },
  },
  slowing: {
    unknowns: ["slowing", "age"],
    traits(z, span) {
      const { slowing, age } = COURSE_BELIEFS;
      return {
        slowing: 1 - logBelief(slowing, z[0]!),
        straying: null,
        age: span * logBelief(age, z[1]!),
        fast: null,
      };
    },
  },
  changing: {
    unknowns: ["slowing", "age", "strayingSd", "usual"],
    traits(z, span) {
      const { straying, age } = COURSE_BELIEFS;
      return {
        slowing: straying.first + straying.firstSd * z[0]!,
        straying: {
          usual: straying.usual + straying.usualSd * z[3]!,
          sd: logBelief(straying.sd, z[2]!),
          length: straying.length,
        },
        age: span * logBelief(age, z[1]!),
        fast: null,
      };
    },
  },
};

/** Laws of a part on a base that stays hot: a slowing that changes on the way would hide how hot. */
const WARM_LAWS: readonly CourseLaw[] = ["one-exponential", "two-exponentials", "slowing"];

/** Every structure, with its chance. */
export function courseKinds(scales: CourseScales, surroundings?: number): readonly CourseKind[] {
  const b = COURSE_BELIEFS;
  const { cool, hot, leftWhenHot } = b.oneRate;
  const heat = Math.min(1, Math.max(0, (scales.first - cool) / (hot - cool)));
  const chances: Readonly<Record<CourseLaw, number>> = {
    ...b.law,
    "one-exponential": b.law["one-exponential"] * (1 - heat * (1 - leftWhenHot)),
  };
  const air: CourseFloor = surroundings === undefined ? "room" : "given";
  const onFloor = (floor: CourseFloor, share: number, possible: readonly CourseLaw[]) => {
    const all = possible.reduce((sum, law) => sum + chances[law], 0);
    return possible.map((law) =>
      kindOf({ law, floor, chance: (share * chances[law]) / all, scales, heat, surroundings }),
    );
  };
  return [
    ...onFloor(air, 1 - b.warm, Object.keys(laws) as CourseLaw[]),
    ...onFloor("warm", b.warm, WARM_LAWS),
  ];
}

function kindOf({
  law,
  floor,
  chance,
  scales: { first, highestFloor, fallRate, span },
  heat,
  surroundings,
}: {
  readonly law: CourseLaw;
  readonly floor: CourseFloor;
  readonly chance: number;
  readonly scales: CourseScales;
  readonly heat: number;
  readonly surroundings: number | undefined;
}): CourseKind {
  const b = COURSE_BELIEFS;
  const own = ["rate", "readingSd", "wanderSd"];
  const unknowns = [...own, ...laws[law].unknowns, ...(floor === "given" ? [] : [`${floor} floor`])];
  // A floor lies below every reading, whatever is believed or was given.
  const room = Math.min(surroundings ?? b.room.mean, highestFloor - 1);
  const floorAt = (z: number): number =>
    floor === "given"
      ? room
      : floor === "room"
        ? Math.min(highestFloor, room + b.room.sd * z)
        : room + (highestFloor - room) * -Math.expm1(-logBelief(b.warmAbove, z) / (highestFloor - room));
  return {
    law,
    floor,
    chance,
    unknowns,
    traits(z) {
      const at = floorAt(z[unknowns.length - 1]!);
      const { fast, ...rest } = laws[law].traits(z.slice(own.length), span, heat);
      const { share, times } = fast ?? { share: 0, times: 1 };
      const rate = (fallRate / Math.max(1, first - at) / (1 + share * (times - 1))) * b.rateFactor ** z[0]!;
      return {
        ...rest,
        floor: at,
        rate,
        fast: fast === null ? null : { share, rate: times * rate },
        readingSd: logBelief(b.readingSd, z[1]!),
        wander: { sd: Math.max(50, first) * logBelief(b.wander.sd, z[2]!), time: span * b.wander.time },
      };
    },
  };
}
