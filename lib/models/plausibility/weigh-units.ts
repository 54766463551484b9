import { mean, median, robustStandardDeviation } from "../../numeric/figures/index.js";
import { isBoundedSetting, isPossibleSetting, settingUnit } from "../../process/handbook/index.js";
import { convert, sameDimension } from "../../units/index.js";
import { rigPhysics } from "../physical/index.js";
import { columnsSeen, type Evidence, logsOf, physicsEvidence, rangeEvidence } from "./physics-evidence.js";
import type { Written, WrittenQuantity, WrittenStudy } from "./quantities.js";
import { type Reading, readingsOf, reread } from "./unit-hypotheses.js";

/** What one piece of evidence says of a reading. */
export interface Ground {
  readonly label: string;
  readonly unit: string;
  readonly usual: number;
  /** Median over the coupons as stated, and under the reading. */
  readonly stated: number;
  readonly mended: number;
  /** By how much it speaks for the reading, as a natural logarithm of odds. */
  readonly gain: number;
}

/** A reading weighed against all others. */
export interface WeighedReading {
  readonly reading: Reading;
  /** Its chance among all readings, the one stated included. */
  readonly chance: number;
  /** What speaks for it most, strongest first. */
  readonly grounds: readonly Ground[];
}

/** All readings of some coupons, likeliest first. */
export interface Weighed {
  /** Chance that the units are as stated. */
  readonly sound: number;
  readonly readings: readonly WeighedReading[];
}

/** Chance, before any evidence, that a whole file or a part of it has one column in a wrong unit. Common practice, no source. */
const SLIP_RATE = 0.1;
const PARTIAL_SLIP_RATE = 0.02;
/** Degrees of freedom of what is usual: rigs stray farther than a normal law allows. */
const TAILS = 8;
/** Beyond what any rig does: as good as impossible, but for a bound drawn too tight. */
const IMPOSSIBLE = -12;
/** Coupons that speak for themselves on the study's range; more of them only repeat it. */
const RANGE_WITNESSES = 4;
/** Chance that a coupon lies within the study's range when the unit is right, and when it is wrong. */
const INSIDE = 0.97;
/** Chance that a range typed by hand is in the same wrong unit as the values. */
const SAME_SLIP = 0.25;
/** Room about the study's range, as a share of it. */
const RANGE_SLACK = 0.03;
/** How well the ends of what was run agree with the ends of the range: standard deviation of a logarithm. */
const ENDS_DOUBT = 0.35;
/** Doubt about the difference between parts of one study, whose settings differ: standard deviations of a logarithm. */
const PART_DOUBT = { physics: 0.2, range: 0.7, planned: 0.05 };

const heavyTailed = (z: number): number => -((TAILS + 1) / 2) * Math.log(1 + (z * z) / TAILS);

/** Weighs the readings of some coupons of a study, the others taken as they stand. */
export type UnitWeigher = (part: readonly Written[]) => Weighed;

/**
 * Weighs every reading of every column by all evidence together: what is usual on such a process, what physics ties
 * together, the study's ranges, the plan, and, for a part of a study, the other coupons.
 *
 *     P(reading | evidence) ~ P(reading) prod_k t_8(ln(median_k / usual_k) / sd_k)
 *
 * One slip at a time; a study with two wrong units shows neither with certainty.
 */
export function unitWeigher(study: WrittenStudy): UnitWeigher {
  const physics = rigPhysics(study);
  const evidence = [
    ...physicsEvidence(physics),
    ...study.quantities.flatMap((quantity) => rangeEvidence(quantity, physics) ?? []),
  ];
  const all = readingsOf(study);
  return (part) => {
    const rest = study.coupons.filter((written) => !part.includes(written));
    const whole = rest.length === 0;
    const readings = all.filter(
      ({ quantity }) =>
        part.some(({ values }) => values.has(quantity.column)) && (whole || quantity.constant !== true),
    );
    const total = readings.reduce((sum, { weight }) => sum + weight, 0);
    const rate = whole ? SLIP_RATE : PARTIAL_SLIP_RATE;
    const witnesses = evidence.map((one): Witness => {
      const others = othersOf(one, rest);
      return { evidence: one, others, columns: columnsSeen(one, part), stated: scoreOf(one, part, others) };
    });
    const statedSum = witnesses.reduce((sum, { stated }) => sum + stated.score, 0);
    const quantities = new Set(readings.map(({ quantity }) => quantity));
    const limits = new Map(
      [...quantities].map((quantity) => [quantity, limitsOf({ study, quantity, stated: part })]),
    );
    const weighed = readings.map((reading) => {
      const coupons = part.map((written) => reread(reading, written));
      // What does not look at the column says the same as before.
      const scores = witnesses.map(({ evidence: one, others, columns, stated }) =>
        columns.has(reading.quantity.column) ? scoreOf(one, coupons, others) : stated,
      );
      const logOdds =
        Math.log((rate * reading.weight) / total) +
        scores.reduce((sum, { score }) => sum + score, 0) -
        statedSum +
        limits.get(reading.quantity)!(coupons);
      return { reading, logOdds, grounds: groundsOf(witnesses, scores) };
    });
    const top = Math.max(0, ...weighed.map(({ logOdds }) => logOdds));
    const sound = (1 - rate) * Math.exp(-top);
    const sum = weighed.reduce((so, { logOdds }) => so + Math.exp(logOdds - top), sound);
    return {
      sound: sound / sum,
      readings: weighed
        .map(({ reading, logOdds, grounds }) => ({ reading, grounds, chance: Math.exp(logOdds - top) / sum }))
        .sort((a, b) => b.chance - a.chance),
    };
  };
}

/** A piece of evidence on a part of a study. */
interface Witness {
  readonly evidence: Evidence;
  readonly others: Others | undefined;
  /** The columns it looks at there. */
  readonly columns: ReadonlySet<string>;
  /** What it says of the units as stated. */
  readonly stated: Score;
}

/** How well a piece of evidence fits, and the median of its logarithms where coupons show it. */
interface Score {
  readonly score: number;
  readonly log?: number;
}

/** What speaks for a reading, strongest first. */
function groundsOf(witnesses: readonly Witness[], scores: readonly Score[]): readonly Ground[] {
  return witnesses
    .flatMap(({ evidence: { label, unit, usual }, stated }, i): readonly Ground[] => {
      const mended = scores[i]!;
      const gain = mended.score - stated.score;
      const at = (log: number | undefined): number => usual * Math.exp(log ?? 0);
      return gain > 1 ? [{ label, unit, usual, stated: at(stated.log), mended: at(mended.log), gain }] : [];
    })
    .sort((a, b) => b.gain - a.gain);
}

/** What the other coupons show of a piece of evidence: middle of its logarithms, and doubt about that. */
interface Others {
  readonly middle: number;
  readonly doubt: number;
}

function othersOf(evidence: Evidence, rest: readonly Written[]): Others | undefined {
  const logs = logsOf(evidence, rest);
  return logs.length === 0 ? undefined : { middle: median(logs), doubt: doubtOf(evidence, logs) };
}

const partDoubt = ({ column }: Evidence): number =>
  column === undefined ? PART_DOUBT.physics : PART_DOUBT.range;

/** Standard error of the middle of some logarithms. */
const doubtOf = (evidence: Evidence, logs: readonly number[]): number =>
  (logs.length < 3 ? partDoubt(evidence) : robustStandardDeviation(logs)) / Math.sqrt(logs.length);

/** How well a piece of evidence fits, relative to a perfect fit; against the other coupons where there are any. */
function scoreOf(evidence: Evidence, coupons: readonly Written[], others: Others | undefined): Score {
  const logs = logsOf(evidence, coupons);
  if (logs.length === 0) return { score: 0 };
  const log = median(logs);
  const usual = heavyTailed(log / evidence.sd);
  if (others === undefined) return { score: usual, log };
  const sd = Math.hypot(partDoubt(evidence), doubtOf(evidence, logs), others.doubt);
  return { score: usual + heavyTailed((log - others.middle) / sd), log };
}

/** What bounds, plan and range of a quantity say for another reading of it than the one stated. */
function limitsOf({
  study,
  quantity,
  stated,
}: {
  readonly study: WrittenStudy;
  readonly quantity: WrittenQuantity;
  readonly stated: readonly Written[];
}): (mended: readonly Written[]) => number {
  const bounds = boundsScore(quantity, stated);
  const plan = planScore(quantity, stated);
  const range = rangeGain({ study, quantity, stated });
  return (mended) =>
    boundsScore(quantity, mended) - bounds + planScore(quantity, mended) - plan + range(mended);
}

/** What the bounds of all rigs say: impossible settings cost. */
function boundsScore(quantity: WrittenQuantity, coupons: readonly Written[]): number {
  const values = coupons.flatMap(({ values: own }) => own.get(quantity.column) ?? []);
  const beyond = values.filter((value) => isImpossible(quantity, value));
  return values.length === 0 ? 0 : (IMPOSSIBLE * beyond.length) / values.length;
}

function isImpossible({ role, canonical }: WrittenQuantity, value: number): boolean {
  if (canonical === "deg") return Math.abs(value) > 360;
  if (role === "dilution") return value < 0 || value >= 1;
  if (!isBoundedSetting(role) || !sameDimension(settingUnit(role), canonical)) return false;
  return !isPossibleSetting(role, convert(value, canonical, settingUnit(role)));
}

/** What was asked for against what was run. */
function planScore({ column }: WrittenQuantity, coupons: readonly Written[]): number {
  const logs = coupons.flatMap(({ values, planned }) => {
    const ratio = values.get(column)! / planned.get(column)!;
    return ratio > 0 && Number.isFinite(ratio) ? [Math.log(ratio)] : [];
  });
  return logs.length === 0 ? 0 : heavyTailed(median(logs) / PART_DOUBT.planned);
}

/**
 * What the study's range of a factor says for another reading of it. Where only the values slipped they come back into
 * the range; where the range was typed, or drawn from the file, in the same wrong unit, it says nothing.
 */
function rangeGain({
  study,
  quantity: { factor, column, canonical },
  stated,
}: {
  readonly study: WrittenStudy;
  readonly quantity: WrittenQuantity;
  readonly stated: readonly Written[];
}): (mended: readonly Written[]) => number {
  if (factor === undefined) return () => 0;
  const [low, high] = [factor.low, factor.high].map((end) => convert(end, factor.unit, canonical));
  const slack = RANGE_SLACK * (high! - low!);
  const whole = stated.length === study.coupons.length;
  const score = (coupons: readonly Written[]): number => {
    const values = coupons.flatMap(({ values: own }) => own.get(column) ?? []);
    const inside = mean(values.map((value) => Number(value >= low! - slack && value <= high! + slack)));
    const n = Math.min(RANGE_WITNESSES, values.length);
    const ends = (Math.log(Math.min(...values) / low!) + Math.log(Math.max(...values) / high!)) / 2;
    // A part of a study may lie anywhere in the range; all of it is laid out to reach the ends.
    const match = whole && Number.isFinite(ends) ? heavyTailed(ends / ENDS_DOUBT) : 0;
    return match + n * (inside * Math.log(INSIDE) + (1 - inside) * Math.log(1 - INSIDE));
  };
  const all = study.coupons.flatMap(({ values }) => values.get(column) ?? []);
  const near = (a: number, b: number): boolean => Math.abs(a - b) <= 1e-9 * Math.abs(b);
  const drawn = near(Math.min(...all), low!) && near(Math.max(...all), high!);
  const before = score(stated);
  const typed = before + Math.log(drawn ? 1 : SAME_SLIP);
  return (mended) => Math.max(score(mended), typed) - before;
}
