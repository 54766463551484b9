import { refusalOf } from "../../errors/index.js";
import { mean, median, robustStandardDeviation } from "../../numeric/figures/index.js";
import { isBoundedSetting, requireSetting, settingUnit } from "../../process/handbook/index.js";
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

/**
 * Weighs every reading of every column by all evidence together: what is usual on such a process, what physics ties
 * together, the study's ranges, the plan, and, for a part of a study, the other coupons.
 *
 *     P(reading | evidence) ~ P(reading) prod_k t_8(ln(median_k / usual_k) / sd_k)
 *
 * One slip at a time; a study with two wrong units shows neither with certainty.
 *
 * @param part - the coupons judged; the others of the study are taken as they stand
 */
export function weighUnits(study: WrittenStudy, part: readonly Written[] = study.coupons): Weighed {
  const rest = study.coupons.filter((written) => !part.includes(written));
  const whole = rest.length === 0;
  const physics = rigPhysics(study);
  const evidence = [
    ...physicsEvidence(physics),
    ...study.quantities.flatMap((quantity) => rangeEvidence(quantity, physics) ?? []),
  ];
  const others = new Map(evidence.map((one) => [one, logsOf(one, rest)]));
  const readings = readingsOf(study).filter(
    ({ quantity }) =>
      part.some(({ values }) => values.has(quantity.column)) && (whole || quantity.constant !== true),
  );
  const total = readings.reduce((sum, { weight }) => sum + weight, 0);
  const rate = whole ? SLIP_RATE : PARTIAL_SLIP_RATE;
  const sumOf = (scores: readonly Score[]): number => scores.reduce((sum, { score }) => sum + score, 0);
  const stated = evidence.map((one) => scoreOf(one, part, others.get(one)!));
  const statedSum = sumOf(stated);
  const restingOn = new Map(evidence.map((one) => [one, columnsSeen(one, part)]));
  const weighed = readings.map((reading) => {
    const { quantity } = reading;
    const coupons = part.map((written) => reread(reading, written));
    // What does not look at the column says the same as before.
    const scores = evidence.map((one, i) =>
      restingOn.get(one)!.has(quantity.column) ? scoreOf(one, coupons, others.get(one)!) : stated[i]!,
    );
    const limits =
      boundsScore(quantity, coupons) -
      boundsScore(quantity, part) +
      planScore(quantity, coupons) -
      planScore(quantity, part) +
      rangeGain({ study, quantity, stated: part, mended: coupons });
    const logOdds = Math.log((rate * reading.weight) / total) + sumOf(scores) - statedSum + limits;
    const grounds = evidence
      .map((one, i): Ground => {
        const [before, after] = [stated[i]!, scores[i]!];
        const { label, unit, usual } = one;
        const at = (log: number | undefined): number => usual * Math.exp(log ?? 0);
        const gain = after.score - before.score;
        return { label, unit, usual, stated: at(before.log), mended: at(after.log), gain };
      })
      .filter(({ gain }) => gain > 1)
      .sort((a, b) => b.gain - a.gain);
    return { reading, logOdds, grounds };
  });
  const top = Math.max(0, ...weighed.map(({ logOdds }) => logOdds));
  const sound = (1 - rate) * Math.exp(-top);
  const sum = weighed.reduce((all, { logOdds }) => all + Math.exp(logOdds - top), sound);
  return {
    sound: sound / sum,
    readings: weighed
      .map(({ reading, logOdds, grounds }) => ({ reading, grounds, chance: Math.exp(logOdds - top) / sum }))
      .sort((a, b) => b.chance - a.chance),
  };
}

/** How well a piece of evidence fits, and the median of its logarithms where coupons show it. */
interface Score {
  readonly score: number;
  readonly log?: number;
}

/** How well a piece of evidence fits, relative to a perfect fit; against the other coupons where there are any. */
function scoreOf(evidence: Evidence, coupons: readonly Written[], others: readonly number[]): Score {
  const logs = logsOf(evidence, coupons);
  if (logs.length === 0) return { score: 0 };
  const log = median(logs);
  const usual = heavyTailed(log / evidence.sd);
  if (others.length === 0) return { score: usual, log };
  const doubt = evidence.name.startsWith("range ") ? PART_DOUBT.range : PART_DOUBT.physics;
  const spread = (values: readonly number[]): number =>
    values.length < 3 ? doubt : robustStandardDeviation(values);
  const sd = Math.hypot(
    doubt,
    spread(logs) / Math.sqrt(logs.length),
    spread(others) / Math.sqrt(others.length),
  );
  return { score: usual + heavyTailed((log - median(others)) / sd), log };
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
  return refusalOf(() => requireSetting(role, convert(value, canonical, settingUnit(role)))) !== undefined;
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
  mended,
}: {
  readonly study: WrittenStudy;
  readonly quantity: WrittenQuantity;
  readonly stated: readonly Written[];
  readonly mended: readonly Written[];
}): number {
  if (factor === undefined) return 0;
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
  return Math.max(score(mended), before + Math.log(drawn ? 1 : SAME_SLIP)) - before;
}
