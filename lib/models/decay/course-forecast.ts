import { findRoot, type RandomStream, randomStream } from "../../numeric/index.js";
import type { CoolingCourse } from "./cooling-course.js";
import { type CourseState, type CourseTraits, filterCourse, growing } from "./course-filter.js";

/** Steps of ln s in which a course is followed. */
const STRIDE = 0.1;
/** ln s over which it is followed: to some thirty times the length of the log. */
const FARTHEST = 3.5;

/** Times at which drawn courses reach a level, ascending, s; below 0 before arc-off, Infinity where none is near. */
export function crossingTimes({
  course: { courses, readings },
  level,
  draws,
  seed,
}: {
  readonly course: CoolingCourse;
  readonly level: number;
  readonly draws: number;
  readonly seed: number;
}): Float64Array {
  const random = randomStream(seed);
  const times = new Float64Array(draws);
  let known: { readonly traits: CourseTraits; readonly state: CourseState } | undefined;
  for (let d = 0; d < draws; d++) {
    const traits = courses[Math.floor(((d + 0.5) * courses.length) / draws)]!;
    if (known?.traits !== traits) {
      const { below, last } = filterCourse(readings, traits, level);
      known = { traits, state: below ?? last };
    }
    times[d] =
      known.state.time +
      timeFrom({ drawn: drawState(known.state, random), state: known.state, traits, level, random });
  }
  return times.sort();
}

type Drawn = readonly [excess: number, logRate: number, slowing: number];

/** Time from a state to a level, s; below 0 when the level has passed. */
function timeFrom({
  drawn: [excess, logRate, first],
  state: { fastShare, time },
  traits: { straying, fast, floor, age: start },
  level,
  random,
}: {
  readonly drawn: Drawn;
  readonly state: CourseState;
  readonly traits: CourseTraits;
  readonly level: number;
  readonly random: RandomStream;
}): number {
  const wanted = level - floor;
  if (!(wanted > 0)) return Number.POSITIVE_INFINITY;
  if (!(excess > 0)) return 0;
  const from = time + start;
  const stride = excess > wanted ? STRIDE : -STRIDE;
  const keep = straying === null ? 1 : Math.exp(-STRIDE / straying.length);
  const fresh = straying === null ? 0 : straying.sd * Math.sqrt(1 - keep * keep);
  let [slow, quick] = [(1 - fastShare) * excess, fastShare * excess];
  let [age, logNow, slowing] = [from, logRate, first];
  const fastLeft = (stretch: number): number =>
    fast === null ? 0 : quick * Math.exp(-fast.rate * age * Math.expm1(stretch));
  const slowLeft = (stretch: number): number =>
    slow * Math.exp(-Math.exp(logNow) * age * growing(1 - slowing, stretch));
  for (let gone = 0; gone < FARTHEST; gone += STRIDE) {
    const missing = (stretch: number): number => slowLeft(stretch) + fastLeft(stretch) - wanted;
    if (stride > 0 ? missing(stride) <= 0 : missing(stride) >= 0) {
      const { x } = findRoot({
        f: missing,
        lower: Math.min(0, stride),
        upper: Math.max(0, stride),
        tolerance: 1e-6,
      });
      return age * Math.exp(x) - from;
    }
    [slow, quick] = [slowLeft(stride), fastLeft(stride)];
    logNow -= slowing * stride;
    age *= Math.exp(stride);
    if (straying !== null && stride > 0)
      slowing = straying.usual + keep * (slowing - straying.usual) + fresh * random.normal();
  }
  return stride > 0 ? Number.POSITIVE_INFINITY : -from;
}

/** Excess, log rate and slowing from their normal distribution, by the Cholesky factor of its covariance. */
function drawState({ mean, covariance }: CourseState, random: RandomStream): Drawn {
  const [ee, re, rr, me, mr, mm] = covariance as readonly [number, number, number, number, number, number];
  const root = (value: number): number => Math.sqrt(Math.max(0, value));
  const over = (value: number, by: number): number => (by > 0 ? value / by : 0);
  const e = root(ee);
  const [rE, mE] = [over(re, e), over(me, e)];
  const r = root(rr - rE * rE);
  const mR = over(mr - mE * rE, r);
  const m = root(mm - mE * mE - mR * mR);
  const [a, b, c] = [random.normal(), random.normal(), random.normal()];
  return [mean[0] + e * a, mean[1] + rE * a + r * b, mean[2] + mE * a + mR * b + m * c];
}
