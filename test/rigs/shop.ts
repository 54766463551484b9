import { normalQuantile, type RandomStream, randomStream, sobolPoints } from "../../lib/numeric/index.js";
import { type RigFormulas, type RigOutcome, runCoupon, siSettings, stateChance, trueChance } from "./rig.js";

type Settings = Readonly<Record<string, number | string>>;

/** What a shop brings besides its rig. Shares are chances, sizes are natural logarithms. */
export interface ShopHabits {
  readonly name: string;
  /** Of a reading: a decimal mark, a digit, two readings exchanged, the wrong unit. */
  readonly penSlip: number;
  readonly wrongVerdict: number;
  /** Of a reading never taken. */
  readonly leftOut: number;
  /** Of a coupon run at a setting that nobody recorded. */
  readonly otherSetting: number;
  /** How well settings are held. */
  readonly settingSd: number;
  /** Shift of each response from day to day. */
  readonly dayShift: number;
  /** Change of each response from the first to the last coupon of a day; the sign is the rig's. */
  readonly dayTrend: number;
}

const tidy = {
  penSlip: 0,
  wrongVerdict: 0,
  leftOut: 0,
  otherSetting: 0,
  settingSd: 0,
  dayShift: 0,
  dayTrend: 0,
};

export const cleanShop: ShopHabits = { name: "clean", ...tidy };
export const dirtyShop: ShopHabits = {
  name: "dirty",
  ...tidy,
  penSlip: 0.06,
  wrongVerdict: 0.03,
  leftOut: 0.05,
  otherSetting: 0.05,
  settingSd: 0.015,
};
export const driftingShop: ShopHabits = { name: "drifting", ...tidy, dayShift: 0.06, dayTrend: 0.05 };

/** A day in the shop. */
export interface ShopDay {
  readonly weather: number;
  /** Per response, standard normal. */
  readonly shifts: readonly number[];
}

/** What happened to a coupon besides what its setting says. */
export type Mishap = "pen-slip" | "wrong-verdict" | "left-out" | "other-setting";

/** One coupon of a shop, with what went wrong. */
export interface ShopCoupon {
  readonly outcome: RigOutcome;
  readonly mishaps: readonly Mishap[];
}

/** Sign of the trend of a response within a day. */
const SIGNS = [1, -0.7, 0.5, -0.4];

/** The rig at one time of one day: `place` runs from -0.5, the first coupon, to 0.5, the last. */
function rigAt(rig: RigFormulas, habits: ShopHabits, day: ShopDay, place: number): RigFormulas {
  if (habits.dayShift === 0 && habits.dayTrend === 0) return rig;
  return {
    ...rig,
    state(settings, weather) {
      const state = rig.state(settings, weather);
      const medians = Object.fromEntries(
        Object.entries(state.medians).map(([name, median], i) => [
          name,
          median *
            Math.exp(
              habits.dayShift * (day.shifts[i] ?? 0) + habits.dayTrend * SIGNS[i % SIGNS.length]! * place,
            ),
        ]),
      );
      return { ...state, medians };
    },
  };
}

const held = (rig: RigFormulas, settings: Settings, sd: number, normal: () => number): Settings =>
  sd === 0
    ? settings
    : Object.fromEntries(
        rig.definition.factors.map(({ name, kind }) => {
          const value = settings[name]!;
          return [name, kind === "category" ? value : Number(value) * Math.exp(sd * normal())];
        }),
      );

/** Runs one coupon as the shop does. */
export function runShopCoupon({
  rig,
  habits,
  settings,
  day,
  place,
  stream,
}: {
  readonly rig: RigFormulas;
  readonly habits: ShopHabits;
  readonly settings: Settings;
  readonly day: ShopDay;
  readonly place: number;
  readonly stream: RandomStream;
}): ShopCoupon {
  const mishaps: Mishap[] = [];
  let run = settings;
  if (stream.uniform() < habits.otherSetting) {
    mishaps.push("other-setting");
    const factors = rig.definition.factors.filter(({ kind }) => kind !== "category");
    const { name } = factors[stream.integer(0, factors.length - 1)]!;
    const off = (0.12 + 0.2 * stream.uniform()) * (stream.uniform() < 0.5 ? -1 : 1);
    run = { ...settings, [name]: Number(settings[name]) * Math.exp(off) };
  }
  run = held(rig, run, habits.settingSd, () => stream.normal());
  const found = runCoupon(rigAt(rig, habits, day, place), run, day.weather, stream);
  const passed = Object.fromEntries(
    Object.entries(found.passed).map(([check, good]) => {
      if (stream.uniform() >= habits.wrongVerdict) return [check, good];
      mishaps.push("wrong-verdict");
      return [check, !good];
    }),
  );
  const measured: Record<string, number> = { ...found.measured };
  for (const name of Object.keys(measured)) {
    if (stream.uniform() < habits.leftOut) {
      mishaps.push("left-out");
      delete measured[name];
    } else if (stream.uniform() < habits.penSlip) {
      mishaps.push("pen-slip");
      measured[name] = slipped(measured[name]!, found.measured, name, stream);
    }
  }
  return { outcome: { passed, measured }, mishaps };
}

/** A reading as it gets written down on a bad day. */
function slipped(
  value: number,
  all: Readonly<Record<string, number>>,
  name: string,
  stream: RandomStream,
): number {
  const other = Object.entries(all).find(([own]) => own !== name)?.[1];
  const kind = stream.uniform();
  if (kind < 0.3) return Number((stream.uniform() < 0.5 ? value * 10 : value / 10).toPrecision(4));
  if (kind < 0.45 && other !== undefined) return other;
  if (kind < 0.55) return Number((value / 25.4).toPrecision(3));
  const digits = value.toPrecision(2).split("");
  const places = digits.flatMap((digit, i) => (/[1-9]/.test(digit) ? [i] : []));
  if (kind < 0.75 && places.length > 1) {
    const [a, b] = [places[0]!, places.at(-1)!];
    [digits[a], digits[b]] = [digits[b]!, digits[a]!];
    return Number(digits.join(""));
  }
  const first = places[0]!;
  const digit = Number(digits[first]);
  digits[first] = String(digit === 9 ? 8 : digit === 1 ? 2 : stream.uniform() < 0.5 ? digit - 1 : digit + 1);
  return Number(digits.join(""));
}

const DRAWS = 128;

/**
 * True chance that a coupon of the shop conforms, on a day drawn at random and anywhere in that day, readings without
 * slips.
 */
export function shopChance(rig: RigFormulas, habits: ShopHabits, settings: Settings): number {
  if (habits.dayShift === 0 && habits.dayTrend === 0 && habits.settingSd === 0)
    return trueChance(rig, settings);
  const responses = Object.keys(rig.scatter).length;
  const factors = rig.definition.factors.length;
  let sum = 0;
  for (const u of sobolPoints(DRAWS, 2 + responses + factors, 7)) {
    const z = u.map((one) => normalQuantile(one));
    const day = { weather: z[0]!, shifts: z.slice(1, 1 + responses) };
    let k = 2 + responses;
    const run = held(rig, settings, habits.settingSd, () => z[k++]!);
    const now = rigAt(rig, habits, day, u[1 + responses]! - 0.5);
    sum += stateChance(now, now.state(siSettings(rig.definition, run), day.weather));
  }
  return sum / DRAWS;
}

/** Best true chance in a shop, by climbing from the best setting of the rig in a clean one. */
export function bestInShop(rig: RigFormulas, habits: ShopHabits, from: Settings): number {
  const stream = randomStream(5);
  let here = { settings: from, chance: shopChance(rig, habits, from) };
  for (let trial = 0; trial < 250; trial++) {
    const reach = [5, 3, 2, 1][trial % 4]!;
    const settings: Record<string, number | string> = { ...here.settings };
    for (const { name, low, high, step, kind } of rig.definition.factors) {
      if (kind === "category" || stream.uniform() < 0.4) continue;
      const moved = Number(settings[name]) + (step ?? (high - low) / 50) * stream.integer(-reach, reach);
      settings[name] = Math.min(high, Math.max(low, moved));
    }
    const chance = shopChance(rig, habits, settings);
    if (chance > here.chance) here = { settings, chance };
  }
  return here.chance;
}
