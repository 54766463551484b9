import { requireNumber, requireThat } from "../../errors/index.js";
import { chiSquareQuantile, normalCdf, randomStream } from "../../numeric/index.js";
import { requireConfidence } from "../rates/index.js";
import { productQuantile } from "./gamma-product.js";

/** When things went wrong, in cumulative running since the first attempt. */
export interface EventTimes {
  /** Running at each event, in any unit, above 0; equal times are allowed. */
  readonly times: readonly number[];
  /** Running so far. */
  readonly end: number;
  /** Whether the record stops at a set time or at its last event. Default "time". */
  readonly truncated?: "time" | "event";
}

/** An estimate with two-sided bounds. */
export interface BoundedEstimate {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** A power-law process: events expected by running t are `scale t^shape`. */
export interface GrowthFit {
  readonly events: number;
  readonly end: number;
  readonly truncated: "time" | "event";
  /** Maximum likelihood; below 1 events become rarer. */
  readonly shape: BoundedEstimate;
  /** `shape` freed of its bias: (n - 1)/n or (n - 2)/n of it. */
  readonly shapeUnbiased: number;
  /** Events by running 1, with the maximum-likelihood shape. */
  readonly scale: number;
  /** `scale` that belongs to `shapeUnbiased`. */
  readonly scaleUnbiased: number;
  /** Running per event at the end of the record, by maximum likelihood. */
  readonly meanBetween: BoundedEstimate;
  /** Running per event at the end, by the shape freed of its bias. */
  readonly meanBetweenUnbiased: number;
  readonly trend: TrendTest;
  readonly confidence: number;
}

/** How well a power law fits the times. */
export interface GrowthGoodness {
  readonly cramerVonMises: number;
  /** How often luck alone gives as much or more: small speaks against a power law. */
  readonly p: number;
  readonly seed: number;
}

/** Whether events thin out or crowd, without a model of how. */
export interface TrendTest {
  /** Standard normal where the rate is constant; below 0 where events thin out. */
  readonly laplace: number;
  /** Two-sided. */
  readonly p: number;
}

/** With fewer events the shape is anyone's guess. */
export const FEWEST_GROWTH_EVENTS = 5;

/**
 * Laplace's test of a trend in the rate of events.
 *
 *     U = (mean(t) - T/2) / (T / sqrt(12 n))
 *
 * @throws {BeadbenchError} `bad-argument` for times outside the record, or with none
 * @source D. R. Cox, P. A. W. Lewis, The Statistical Analysis of Series of Events (1966), 3.3
 * @example trendTest({ times: [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], end: 1500 }).laplace // => -1.327
 */
export function trendTest(record: EventTimes): TrendTest {
  const { inside, end } = insideTimes(record);
  requireThat(inside.length > 0, "a trend needs at least one event besides the one that ends the record");
  const mean = inside.reduce((sum, t) => sum + t, 0) / inside.length;
  const laplace = (mean - end / 2) / (end / Math.sqrt(12 * inside.length));
  return { laplace, p: 2 * normalCdf(-Math.abs(laplace)) };
}

/**
 * Fits a power-law process to the times of events of one rig over its attempts: whether it gets better, and how much
 * running there is between events now.
 *
 * Bounds of the shape are exact (chi-square). Bounds of the running per event come from the product of two gamma
 * variables: exact where an event ends the record; where a set time does, the count is discrete and they hold at least
 * their confidence. Ask {@link growthGoodness} whether a power law fits at all.
 *
 * @param confidence - of the bounds. Default 0.9
 * @throws {BeadbenchError} `bad-argument` for times outside the record, or fewer than {@link FEWEST_GROWTH_EVENTS}
 * @source L. H. Crow, AMSAA TR-138 (1974); NIST/SEMATECH e-Handbook 8.1.9.1, 8.4.5.2; MIL-HDBK-189, appendix C
 * @example fitGrowth({ times: [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], end: 1500 }).shapeUnbiased // => 0.483506
 */
export function fitGrowth(record: EventTimes, confidence = 0.9): GrowthFit {
  const { inside, end, truncated } = insideTimes(record);
  const events = record.times.length;
  requireThat(
    events >= FEWEST_GROWTH_EVENTS,
    `growth needs at least ${FEWEST_GROWTH_EVENTS} events, got ${events}: give the rate and its bounds instead`,
  );
  const tail = (1 - requireConfidence(confidence)) / 2;
  const logs = inside.reduce((sum, t) => sum + Math.log(end / t), 0);
  requireThat(
    logs > 0,
    "all events lie at the end of the record: give each the running at which it happened",
  );
  const shape = events / logs;
  const degrees = inside.length;
  const shapeUnbiased = (degrees - 1) / logs;
  const product = (p: number, count: number): number => productQuantile(p, count, degrees);
  return {
    events,
    end,
    truncated,
    shape: {
      estimate: shape,
      lower: chiSquareQuantile(tail, 2 * degrees) / 2 / logs,
      upper: chiSquareQuantile(1 - tail, 2 * degrees) / 2 / logs,
    },
    shapeUnbiased,
    scale: events / end ** shape,
    scaleUnbiased: events / end ** shapeUnbiased,
    meanBetween: {
      estimate: end / (events * shape),
      lower: (end * logs) / product(1 - tail, truncated === "time" ? events + 1 : events),
      upper: (end * logs) / product(tail, events),
    },
    meanBetweenUnbiased: end / (events * shapeUnbiased),
    trend: trendTest(record),
    confidence,
  };
}

/** Checks a record; `inside` leaves out the event that ends it. */
function insideTimes({ times, end, truncated = "time" }: EventTimes): {
  readonly inside: readonly number[];
  readonly end: number;
  readonly truncated: "time" | "event";
} {
  requireNumber("running so far", end, { above: 0 });
  times.forEach((time, i) => {
    requireNumber(`running at event ${i + 1}`, time, { above: 0, max: end });
  });
  if (truncated === "time") return { inside: times, end, truncated };
  const sorted = [...times].sort((a, b) => a - b);
  requireThat(
    sorted.at(-1) === end,
    `a record that stops at its last event ends there: at ${sorted.at(-1) ?? "none"}, not at ${end}`,
  );
  return { inside: sorted.slice(0, -1), end, truncated };
}

const SIMULATED = 2000;

/**
 * Cramer-von Mises test of a power law with the unbiased shape. Its p comes from simulated records of as many events,
 * since the tables end at three levels.
 *
 * @param seed - of the simulated records. Default 1
 * @throws {BeadbenchError} `bad-argument` for times outside the record, or fewer than three before its end
 * @source L. H. Crow, AMSAA TR-138 (1974); IEC 61164
 */
export function growthGoodness(record: EventTimes, seed = 1): GrowthGoodness {
  const { inside, end } = insideTimes(record);
  requireThat(inside.length >= 3, `a test of fit needs three events or more, got ${inside.length}`);
  const cramerVonMises = statistic(inside.map((t) => t / end).sort((a, b) => a - b));
  const random = randomStream(seed);
  let above = 0;
  for (let run = 0; run < SIMULATED; run++) {
    const drawn = inside.map(() => random.uniform()).sort((a, b) => a - b);
    if (statistic(drawn) >= cramerVonMises) above++;
  }
  return { cramerVonMises, p: (above + 1) / (SIMULATED + 1), seed };
}

function statistic(shares: readonly number[]): number {
  const n = shares.length;
  const shape = (n - 1) / shares.reduce((sum, share) => sum - Math.log(share), 0);
  return shares.reduce((sum, share, i) => sum + (share ** shape - (2 * i + 1) / (2 * n)) ** 2, 1 / (12 * n));
}
