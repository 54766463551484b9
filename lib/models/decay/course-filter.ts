/** One way a part may cool; everything but the state it is in. */
export interface CourseTraits {
  /** Tf, degC. */
  readonly floor: number;
  /** lambda of the slow part at the first reading, 1/s. */
  readonly rate: number;
  /** m at the first reading. */
  readonly slowing: number;
  /** How m strays over ln s from its usual value: sd and length; null when it stays. */
  readonly straying: { readonly usual: number; readonly sd: number; readonly length: number } | null;
  /** Part of the excess at the first reading that goes by a faster exponential, and its rate, 1/s; null for none. */
  readonly fast: { readonly share: number; readonly rate: number } | null;
  /** s at time 0, s. */
  readonly age: number;
  /** Standard deviation of a reading, K. */
  readonly readingSd: number;
  /** Part of the reading error that lasts, as of emissivity or a lagging sensor: its sd, K, and how long, s. */
  readonly wander: { readonly sd: number; readonly time: number };
}

/** Where a part stands on its course; lists go by excess S + F in K, ln(lambda s) and m. */
export interface CourseState {
  /** s. */
  readonly time: number;
  readonly mean: readonly [excess: number, logRate: number, slowing: number];
  /** Lower triangle of its covariance, row by row. */
  readonly covariance: readonly number[];
  /** Share of the excess that is fast. */
  readonly fastShare: number;
}

/** What readings say about a course of given traits. */
export interface FilteredCourse {
  /** Log likelihood of all readings after the first. */
  readonly logLikelihood: number;
  /** After the last reading. */
  readonly last: CourseState;
  /** After the first reading at which the part was no longer above a level; null when none was. */
  readonly below: CourseState | null;
}

/** Readings in order of time. */
export interface CourseReadings {
  /** s after arc-off. */
  readonly time: readonly number[];
  /** degC. */
  readonly temperature: readonly number[];
}

/**
 * Extended Kalman filter along a cooling curve.
 *
 *     T = Tf + S + F, d(ln S)/dt = -lambda, lambda = lambda1 (s/s1)^-m, s = time + age, d(ln F)/dt = -mu
 *     m strays: an Ornstein-Uhlenbeck process over ln s
 *
 * m is 0 for Newton's cooling, near 1 where heat runs into a long wall (E as a power of time) and in between where
 * radiation fades or a warm layer gives its heat to a cooler part.
 *
 * @source Jazwinski, Stochastic Processes and Filtering Theory (1970), section 8.3, from memory
 */
export function filterCourse(
  { time, temperature }: CourseReadings,
  traits: CourseTraits,
  level = Number.NEGATIVE_INFINITY,
): FilteredCourse {
  const { floor, straying, fast, age, readingSd, wander } = traits;
  const noise = readingSd * readingSd;
  const wandering = wander.sd * wander.sd;
  let fastShare = fast?.share ?? 0;
  let [excess, logRate, slowing, error] = [temperature[0]! - floor, Math.log(traits.rate), traits.slowing, 0];
  // The first reading starts the curve: flat prior on its temperature.
  let [ee, re, rr, me, mr, mm] = [noise + wandering, 0, 0, 0, 0, 0];
  let [we, wr, wm, ww] = [-wandering, 0, 0, wandering];
  let logLikelihood = 0;
  let below: CourseState | null = null;
  const state = (n: number): CourseState => ({
    time: time[n]!,
    mean: [excess, logRate, slowing],
    covariance: [ee, re, rr, me, mr, mm],
    fastShare,
  });
  for (let n = 1; n < time.length; n++) {
    const step = time[n]! - time[n - 1]!;
    const stretch = Math.log1p(step / (time[n - 1]! + age));
    const pace = Math.exp(logRate) * (time[n - 1]! + age);
    const fall = pace * growing(1 - slowing, stretch);
    const slow = (1 - fastShare) * Math.exp(-fall);
    const quick = fast === null ? 0 : fastShare * Math.exp(-fast.rate * step);
    const share = slow + quick;
    const keep = straying === null ? 1 : Math.exp(-stretch / straying.length);
    const stay = Math.exp(-step / wander.time);
    // Slopes of the next excess by rate and slowing.
    const a = -excess * slow * fall;
    const b = excess * slow * pace * growingSlope(1 - slowing, stretch);
    const [xe, xr] = [share * ee + a * re + b * me, share * re + a * rr + b * mr];
    const [xm, xw] = [share * me + a * mr + b * mm, share * we + a * wr + b * wm];
    const [yr, ym, yw] = [rr - stretch * mr, mr - stretch * mm, wr - stretch * wm];
    ee = share * xe + a * xr + b * xm;
    re = xr - stretch * xm;
    rr = yr - stretch * ym;
    me = keep * xm;
    mr = keep * ym;
    mm = keep * keep * mm + (straying === null ? 0 : straying.sd ** 2 * (1 - keep * keep));
    we = stay * xw;
    wr = stay * yw;
    wm *= stay * keep;
    ww = stay * stay * ww + wandering * (1 - stay * stay);
    excess *= share;
    fastShare = quick / share;
    logRate -= slowing * stretch;
    if (straying !== null) slowing = straying.usual + keep * (slowing - straying.usual);
    error *= stay;

    const [ge, gr, gm, gw] = [ee + we, re + wr, me + wm, we + ww];
    const total = ge + gw + noise;
    const surprise = temperature[n]! - floor - excess - error;
    logLikelihood -= 0.5 * (Math.log(2 * Math.PI * total) + (surprise * surprise) / total);
    const [ke, kr, km, kw] = [ge / total, gr / total, gm / total, gw / total];
    excess += ke * surprise;
    logRate += kr * surprise;
    slowing += km * surprise;
    error += kw * surprise;
    ee -= ke * ge;
    re -= kr * ge;
    rr -= kr * gr;
    me -= km * ge;
    mr -= km * gr;
    mm -= km * gm;
    we -= kw * ge;
    wr -= kw * gr;
    wm -= kw * gm;
    ww -= kw * gw;
    if (below === null && floor + excess <= level) below = state(n);
  }
  return { logLikelihood, last: state(time.length - 1), below };
}

/** (exp(a u) - 1)/a. */
export const growing = (a: number, u: number): number =>
  Math.abs(a * u) < 1e-6 ? u * (1 + (a * u) / 2) : Math.expm1(a * u) / a;

/** Its slope by a. */
const growingSlope = (a: number, u: number): number =>
  Math.abs(a * u) < 1e-4 ? u * u * (0.5 + (a * u) / 3) : (u * Math.exp(a * u) - growing(a, u)) / a;
