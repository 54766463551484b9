import { onlyDefined } from "../../errors/index.js";
import { mean, median, normalPdf } from "../../numeric/index.js";
import { convert } from "../../units/index.js";
import { meantInUnit, UNRULED } from "../plausibility/index.js";
import type { CoolingReading } from "./cooling.js";

/** A reading that no cooling part shows between its neighbours. */
export interface CoolingSlip {
  /** Its place in the list handed over. */
  readonly index: number;
  /** s. */
  readonly time: number;
  /** degC, as read. */
  readonly temperature: number;
  /** degC, what its neighbours foresee. */
  readonly expected: number;
  /** degC it was likely meant as, where one guess fits the neighbours. */
  readonly meant?: { readonly value: number; readonly how: string };
}

/**
 * degC above which no part shows itself after arc-off: steel melts near 1500, titanium near 1670, and a pool is a few
 * hundred hotter. Common practice, no source.
 */
export const HOTTEST_READING = 2000;
/** Fewest readings among which one can be told from the rest. */
const FEWEST = 6;
/** Part of the fall between its neighbours by which a good reading may miss what they foresee: the law is not known. */
const BEND = 0.06;
/** Least scatter of a reading, K: thermometers count in whole kelvin. */
const LEAST_SCATTER = 1;
/** Standard deviations from which a reading is a slip; and those by which neighbours may rise. */
const FAR = 6;
const RISE = 3;
/** Share of what is foreseen by which a slip misses it near the ends of a log, where good readings stray more. */
const GROSS = 0.5;
/** Share of a curve's readings that may be slips: more is another law. */
const MOST = 1 / 8;
/** Weight of a reading typed in the other unit, beside those of slipped digits. Common practice, no source. */
const OTHER_UNIT = 0.15;

interface Place extends CoolingReading {
  readonly index: number;
}

/** Up to two readings on each side of a place. */
interface Neighbours {
  readonly before: readonly Place[];
  readonly after: readonly Place[];
}

/** What the neighbours of a reading foresee, degC. */
interface Foreseen {
  readonly value: number;
  /** K, error of the guess by not knowing the law. */
  readonly bend: number;
}

/**
 * Readings of a cooling curve that are slips of the pen: far from what their neighbours foresee, while the neighbours
 * agree with each other and fall without them.
 *
 * Each reading is foreseen by the cubic through the logarithm of the excess of two neighbours on each side; slips are
 * set aside one by one, the one first without which the rest is smoothest. Rising readings are never called slips, for
 * heat that still arrives rises; nor is the first one, short of a temperature no metal shows; the second and the last
 * only when grossly off. A slip that stays between its neighbours may not be seen.
 *
 * @param options.surroundings - degC, when known
 * @param options.unit - in which the temperatures were typed, for guesses at what was meant. Default degC
 */
export function coolingSlips(
  readings: readonly CoolingReading[],
  options: { readonly surroundings?: number; readonly unit?: string } = {},
): readonly CoolingSlip[] {
  const { surroundings, unit = "degC" } = options;
  let kept: readonly Place[] = readings
    .map((reading, index) => ({ ...reading, index }))
    .sort((a, b) => a.time - b.time);
  const slips: CoolingSlip[] = [];
  const most = Math.max(1, Math.floor(readings.length * MOST));
  while (slips.length < most && kept.length >= FEWEST) {
    const found = plainest(kept, surroundings, unit);
    if (found === undefined) break;
    slips.push(found);
    kept = kept.filter(({ index }) => index !== found.index);
  }
  return slips.sort((a, b) => a.time - b.time);
}

/** The reading without which the rest is smoothest, when it is a slip. */
function plainest(
  places: readonly Place[],
  surroundings: number | undefined,
  unit: string,
): CoolingSlip | undefined {
  const far = misses(places, surroundings)
    .map((miss, k) => ({ k, strange: tooHot(places[k]!) ? Number.POSITIVE_INFINITY : strangeness(miss) }))
    .sort((a, b) => b.strange - a.strange)
    .slice(0, 3);
  const tried = far.map(({ k }) => {
    const rest = places.filter((_, i) => i !== k);
    const left = misses(rest, surroundings);
    // The median of |z| of a normal z is 0.6745.
    return {
      k,
      rest,
      roughness: mean(left.map(strangeness)),
      scatter: median(left.map(({ off }) => off)) / 0.6745,
    };
  });
  const best = tried.reduce((a, b) => (b.roughness < a.roughness ? b : a));
  return slipAt({ ...best, place: places[best.k]!, surroundings, unit });
}

function slipAt({
  k,
  rest,
  place,
  scatter,
  surroundings,
  unit,
}: {
  readonly k: number;
  readonly rest: readonly Place[];
  readonly place: Place;
  readonly scatter: number;
  readonly surroundings: number | undefined;
  readonly unit: string;
}): CoolingSlip | undefined {
  const neighbours = { before: rest.slice(Math.max(0, k - 2), k), after: rest.slice(k, k + 2) };
  const foreseen = foresee(neighbours, place.time, floorBelow(rest, surroundings));
  if (foreseen === undefined) return undefined;
  const near = [...neighbours.before, ...neighbours.after];
  const sd = Math.hypot(scatter, foreseen.bend, LEAST_SCATTER);
  const impossible = tooHot(place) && !near.some(tooHot);
  const off = Math.abs(place.temperature - foreseen.value);
  if (!impossible && !(off > FAR * sd && falls(near, RISE * Math.hypot(scatter, LEAST_SCATTER))))
    return undefined;
  // Before the first reading nothing falls, the second may still warm up, and beyond the last two lies a guess.
  const gross = off > GROSS * foreseen.value;
  if (!impossible && (k === 0 || ((k === 1 || k === rest.length) && !gross))) return undefined;
  const meant = likeliest(place.temperature, { ...foreseen, sd }, unit);
  return { ...place, expected: foreseen.value, ...onlyDefined({ meant }) };
}

const tooHot = ({ temperature }: Place): boolean => temperature > HOTTEST_READING;

/** Whether neighbours fall, but for scatter. */
const falls = (near: readonly Place[], scatter: number): boolean =>
  near.every(({ temperature }, i) => i === 0 || temperature < near[i - 1]!.temperature + scatter);

/** How far each reading lies from what the others foresee, K. */
function misses(
  places: readonly Place[],
  surroundings: number | undefined,
): readonly { readonly off: number; readonly bend: number }[] {
  const floor = floorBelow(places, surroundings);
  return places.map(({ time, temperature }, k) => {
    const neighbours = { before: places.slice(Math.max(0, k - 2), k), after: places.slice(k + 1, k + 3) };
    const foreseen = k === 0 ? undefined : foresee(neighbours, time, floor);
    return foreseen === undefined
      ? { off: 0, bend: 0 }
      : { off: Math.abs(temperature - foreseen.value), bend: foreseen.bend };
  });
}

const strangeness = ({ off, bend }: { readonly off: number; readonly bend: number }): number =>
  off / Math.hypot(bend, LEAST_SCATTER);

/** A floor under all readings, degC, that keeps logarithms of the last ones from running away. */
function floorBelow(places: readonly Place[], surroundings = Number.POSITIVE_INFINITY): number {
  const temperatures = places.map(({ temperature }) => temperature).sort((a, b) => a - b);
  const [lowest, highest] = [temperatures[0]!, temperatures.at(-1)!];
  return Math.min(surroundings, lowest) - Math.max(2, 0.02 * (highest - lowest));
}

/** What two readings before a place and two after it foresee there; undefined where times coincide. */
function foresee({ before, after }: Neighbours, time: number, floor: number): Foreseen | undefined {
  const near = [...before, ...after];
  const times = new Set([time, ...near.map((one) => one.time)]);
  if (near.length < 2 || times.size <= near.length) return undefined;
  const excess = Math.exp(
    throughAll(
      near.map((one) => ({ t: one.time, y: Math.log(one.temperature - floor) })),
      time,
    ),
  );
  const [last, next] = [before.at(-1)?.temperature, after[0]?.temperature];
  // Beyond the log the line through two readings is carried on: its whole step is a guess.
  if (last === undefined || next === undefined)
    return { value: floor + excess, bend: Math.abs(floor + excess - (last ?? next!)) / 2 };
  const value = Math.min(Math.max(floor + excess, Math.min(last, next)), Math.max(last, next));
  return { value, bend: BEND * (4 / near.length) ** 2 * Math.abs(last - next) };
}

/** The polynomial through all points, at a time. @source Lagrange's formula */
function throughAll(points: readonly { readonly t: number; readonly y: number }[], time: number): number {
  return points.reduce(
    (sum, { t, y }) =>
      sum +
      y *
        points.reduce(
          (product, other) => (other.t === t ? product : (product * (time - other.t)) / (t - other.t)),
          1,
        ),
    0,
  );
}

/** The likeliest guess at what was meant, unless a slip without a rule is likelier still. */
function likeliest(
  temperature: number,
  { value, sd }: { readonly value: number; readonly sd: number },
  unit: string,
): CoolingSlip["meant"] {
  const other = unit === "degF" ? "degC" : "degF";
  const guesses = [
    {
      value: convert(convert(temperature, "degC", unit), other, "degC"),
      weight: OTHER_UNIT,
      how: `typed in ${other}`,
    },
    ...meantInUnit(temperature, "degC", unit),
  ];
  const ruled = guesses.map((guess) => ({
    ...guess,
    density: (guess.weight * normalPdf((guess.value - value) / sd)) / sd,
  }));
  const best = ruled.reduce((a, b) => (b.density > a.density ? b : a));
  return best.density > UNRULED / HOTTEST_READING ? { value: best.value, how: best.how } : undefined;
}
