import { BeadbenchError, type Finding } from "../../errors/index.js";
import { fixed, logGamma, median, percent } from "../../numeric/index.js";
import { FEWEST_READINGS, type StationSeries } from "./layer-log.js";

/** A reading that does not fit its neighbours, as by a slip of the pen. */
export interface OddReading {
  readonly station: string;
  readonly layer: number;
  /** As logged, mm. */
  readonly standoff: number;
  /** What its neighbours and the rises between lead to, mm. */
  readonly expected: number;
  /** Chance that it is a slip. */
  readonly chance: number;
  /** Whether the fit leaves it out, as not measured. */
  readonly apart: boolean;
}

/** Slips per reading, before it is seen. Common practice, no source. */
const SLIP_RATE = 0.005;
/** A slip lands anywhere, mm: the range of {@link STANDOFF_BOUNDS}. */
const SLIP_RANGE = 61;
/** Chances from which a reading is named, and from which it is set apart. */
const NAMED = 0.5;
const APART = 0.9;
/** Readings scatter by this much at least, mm, by their last digit. Common practice, no source. */
const LEAST_SCATTER = 0.05;
/** Degrees of freedom of the scatter at most: honest layers have outliers too, and few readings tell it badly. */
const TAIL = 8;
/** Readings set apart at most, as a share: more of them are no slips. */
const MOST = 0.2;
/** Odd readings looked at and kept, at most. */
const MOST_KEPT = 20;
/** Growths no arc goes beyond, mm, and gauge sds allowed for; common practice, no source. */
const GROWTH = { least: 0, most: 12 } as const;
const GAUGE_SDS = 5;

/** The steps between readings in a row, the torch's rises taken out, and what is usual of them. */
interface Steps {
  /** Places of the readings. */
  readonly places: readonly number[];
  /** Each step from a reading to the next, mm, beyond the usual one. */
  readonly beyond: readonly number[];
  /** Usual growth of a layer, mm. */
  readonly growth: number;
  /** Scatter of the usual step: scale, mm, and degrees of freedom of a t distribution. */
  readonly scale: number;
  readonly df: number;
}

/** How far a reading lies off both its neighbours, mm. */
interface Doubt {
  readonly at: number;
  readonly off: number;
  readonly isEnd: boolean;
}

/**
 * Names the readings that neighbours before and after do not bear out, and sets apart those that can hardly be true.
 * A step that stays is none: its neighbours on one side agree with it. A first or last reading has neighbours on one
 * side only and is set apart only where the layer between could not have been laid.
 *
 * The chance weighs a slip, which lands anywhere, against a t distribution as wide as the usual step from
 * reading to reading.
 *
 * @throws {BeadbenchError} `not-enough-data` when too few readings are left
 */
export function setOddApart(
  series: readonly StationSeries[],
  gaugeSd: number,
): { readonly series: readonly StationSeries[]; readonly odd: readonly OddReading[] } {
  const parts = series.map((one) => setApartIn(one, gaugeSd));
  return { series: parts.map((part) => part.series), odd: parts.flatMap(({ odd }) => odd) };
}

function setApartIn(
  one: StationSeries,
  gaugeSd: number,
): { readonly series: StationSeries; readonly odd: readonly OddReading[] } {
  const standoff = [...one.standoff];
  const odd: OddReading[] = [];
  const most = Math.max(1, Math.floor(MOST * standoff.length));
  const kept = new Set<number>();
  for (;;) {
    const now = stepsOf({ ...one, standoff }, gaugeSd);
    const worst = doubts(now)
      .filter(({ at }) => !kept.has(at))
      .reduce<Doubt | undefined>(
        (a, b) => (a !== undefined && suspicion(a) >= suspicion(b) ? a : b),
        undefined,
      );
    if (worst === undefined || kept.size > MOST_KEPT) break;
    const { at, off, isEnd } = worst;
    const without = standoff.map((value, i) => (i === at ? null : value));
    const chance = slipChance(off, stepsOf({ ...one, standoff: without }, gaugeSd));
    if (chance < NAMED) break;
    const isPossible = isEnd && isLaid(now, at, gaugeSd);
    const apart = !isPossible && chance >= APART && odd.filter((reading) => reading.apart).length < most;
    odd.push({
      station: one.station,
      layer: one.firstLayer + at,
      standoff: standoff[at]!,
      expected: standoff[at]! - off,
      chance,
      apart,
    });
    if (apart) standoff[at] = null;
    else kept.add(at);
  }
  requireEnough(one, standoff, odd);
  const first = standoff.findIndex((value) => value !== null);
  return {
    series: {
      station: one.station,
      firstLayer: one.firstLayer + first,
      standoff: standoff.slice(first),
      rise: one.rise.slice(first),
    },
    odd,
  };
}

/** A slip beside an end throws the end off as far as itself. */
const suspicion = ({ off, isEnd }: Doubt): number => Math.abs(off) * (isEnd ? 0.7 : 1);

function stepsOf({ standoff, rise }: StationSeries, gaugeSd: number): Steps {
  let sum = 0;
  const levels = standoff.map((value, i) => {
    const level = value === null ? null : value - sum;
    sum += rise[i]!;
    return level;
  });
  const places = levels.flatMap((level, i) => (level === null ? [] : [i]));
  const pairs = places.slice(1).map((to, k) => {
    const from = places[k]!;
    return { step: levels[to]! - levels[from]!, layers: to - from };
  });
  const growth = pairs.length === 0 ? 0 : median(pairs.map(({ step, layers }) => -step / layers));
  const beyond = pairs.map(({ step, layers }) => step + growth * layers);
  const scaled = beyond.map((value, k) => Math.abs(value) / Math.sqrt(pairs[k]!.layers));
  const usual = pairs.length === 0 ? 0 : median(scaled) / 0.6745;
  return {
    places,
    beyond,
    growth,
    scale: Math.max(usual, Math.SQRT2 * gaugeSd, LEAST_SCATTER),
    df: Math.min(TAIL, Math.max(1, pairs.length / 2)),
  };
}

/** The smaller of the distances to both neighbours where they lie on one side; at an end the one there is. */
function doubts({ places, beyond }: Steps): readonly Doubt[] {
  return places.map((at, k) => {
    const [before, after] = [beyond[k - 1], beyond[k]];
    const isEnd = before === undefined || after === undefined;
    if (isEnd) return { at, off: before ?? -(after ?? 0), isEnd };
    const off = before * after < 0 ? Math.sign(before) * Math.min(Math.abs(before), Math.abs(after)) : 0;
    return { at, off, isEnd };
  });
}

/** Chance of a slip by Bayes' rule. */
function slipChance(off: number, { scale, df }: Steps): number {
  const log =
    logGamma((df + 1) / 2) -
    logGamma(df / 2) -
    0.5 * Math.log(df * Math.PI) -
    ((df + 1) / 2) * Math.log1p((off / scale) ** 2 / df);
  const honest = ((1 - SLIP_RATE) * Math.exp(log)) / scale;
  const slip = SLIP_RATE / SLIP_RANGE;
  return slip / (slip + honest);
}

/** Whether the layers between an end and its neighbour can be as high as it says. */
function isLaid({ places, beyond, growth }: Steps, at: number, gaugeSd: number): boolean {
  const k = at === places[0] ? 0 : beyond.length - 1;
  const layer = growth - beyond[k]! / (places[k + 1]! - places[k]!);
  const slack = GAUGE_SDS * gaugeSd;
  return layer > GROWTH.least - slack && layer < GROWTH.most + slack;
}

function requireEnough(
  { station }: StationSeries,
  standoff: readonly (number | null)[],
  odd: readonly OddReading[],
): void {
  const left = standoff.filter((value) => value !== null).length;
  if (left >= FEWEST_READINGS) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${station === "" ? "the log" : `station "${station}"`} has ${left} readings that agree with each other; drift takes at least ${FEWEST_READINGS}: ${odd.map(inWords).join("; ")}`,
  );
}

const inWords = ({ station, layer, standoff, expected, chance }: OddReading): string =>
  `${fixed(standoff, 2)} mm before layer ${layer}${station === "" ? "" : ` at ${station}`}, where its neighbours lead to ${fixed(expected, 2)} mm (a slip with a chance of ${percent(chance)})`;

/** What to tell of odd readings. */
export function oddFindings(odd: readonly OddReading[]): readonly Finding[] {
  return odd.map((reading) => ({
    code: "odd-standoff",
    severity: "warning",
    message: `stand-off ${inWords(reading)}: ${reading.apart ? "left out, as if not measured" : "kept, since it may be true"}`,
    advice: "look at the note of that layer: correct the reading, or leave the cell empty",
  }));
}
