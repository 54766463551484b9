import type { Finding } from "../../errors/index.js";
import { median, percent, significant } from "../../numeric/index.js";
import { usualFullness } from "../../process/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert, unitsLike } from "../../units/index.js";
import { balanceRatio, isPlausible, type MassBalance, strangeness } from "./mass-balance.js";
import { strayReadings } from "./readings.js";
import { groupBySettings } from "./repeats.js";

/** A unit that, put in place of the one stated, would make the implausible coupons plausible. */
export interface UnitHypothesis {
  /** Column or field whose unit may be wrong. */
  readonly quantity: string;
  readonly stated: string;
  readonly likely: string;
  /** Share of the implausible coupons this would make plausible. */
  readonly mended: number;
  /** Median distance from the usual bead, 0 is usual, 1 the edge of the plausible range. */
  readonly strangeness: number;
}

/** A quantity whose unit may have slipped, and the power with which it enters the fed area or the sizes. */
interface Suspect {
  readonly quantity: string;
  readonly unit: string;
  /** Units a shop writes by mistake for this one; the stated one is skipped. */
  readonly candidates: readonly string[];
  /** Power with which it enters the fed area; 0 for a size. */
  readonly area: number;
  /** Handicap in the ranking: feeds and speeds slip more often than calliper readings. */
  readonly handicap: number;
}

/** Speeds that rigs, feeders and slicing programs show. */
const speeds = ["mm/s", "mm/min", "cm/min", "m/min", "in/min"] as const;
const lengths = ["mm", "cm", "in"] as const;

/** Units as written down, by coupon and column, where they are not the study's. */
type StatedUnits = ReadonlyMap<string, Readonly<Record<string, string>>>;

const statedUnitsOf = (coupons: readonly Coupon[]): StatedUnits =>
  new Map(
    coupons.flatMap(({ id, statedUnits }) => (statedUnits === undefined ? [] : [[id, statedUnits] as const])),
  );

/** The unit a column was written down in on all these coupons; the study's where they differ or it is unknown. */
function writtenUnit(
  column: string,
  unit: string,
  balances: readonly MassBalance[],
  stated: StatedUnits,
): string {
  const found = new Set(balances.map(({ coupon }) => stated.get(coupon)?.[column] ?? unit));
  const [first] = found;
  return found.size === 1 && first !== undefined ? first : unit;
}

function suspects(definition: StudyDefinition, balances: readonly MassBalance[]): readonly Suspect[] {
  const rigUnit = (name: string): string | undefined => definition.rig?.settings[name]?.unit;
  const factorUnit = (name: string): string | undefined =>
    definition.factors.find((factor) => factor.name === name)?.unit ?? rigUnit(name);
  const responseUnit = (name: string): string | undefined =>
    definition.responses.find((response) => response.name === name)?.unit;
  const setting = (name: string, area: number, handicap: number) => ({
    quantity: name,
    unit: factorUnit(name),
    candidates: speeds,
    area,
    handicap,
  });
  const sizes = new Set([
    ...balances.map(({ responses }) => responses.height),
    ...balances.flatMap(({ responses }) => responses.width ?? []),
  ]);
  const all: readonly (Omit<Suspect, "unit"> & { readonly unit: string | undefined })[] = [
    setting("wire_feed_speed", 1, 0),
    setting("travel_speed", -1, 0.1),
    {
      quantity: "wire diameter",
      unit: definition.wire.diameter.unit,
      candidates: lengths,
      area: 2,
      handicap: 0.3,
    },
    ...[...sizes].map((name) => ({
      quantity: name,
      unit: responseUnit(name),
      candidates: lengths,
      area: 0,
      handicap: 0.5,
    })),
  ];
  return all.filter((suspect): suspect is Suspect => suspect.unit !== undefined);
}

/**
 * Units that explain why these coupons break the mass balance, most likely first.
 *
 * Each quantity is tried alone: a study with two wrong units is reported as implausible without a likely
 * unit. A factor of ten and one of 25.4 may both fit; the one nearer to a usual bead comes first.
 */
export function unitHypotheses(
  definition: StudyDefinition,
  balances: readonly MassBalance[],
  coupons: readonly Coupon[] = [],
): readonly UnitHypothesis[] {
  if (balances.length === 0) return [];
  const stated = statedUnitsOf(coupons);
  return suspects(definition, balances)
    .map((suspect) => ({ ...suspect, unit: writtenUnit(suspect.quantity, suspect.unit, balances, stated) }))
    .flatMap((suspect) =>
      suspect.candidates
        .filter((unit) => unit !== suspect.unit && unitsLike(suspect.unit).includes(unit))
        .map((unit) => tryUnit(suspect, unit, balances)),
    )
    .filter(({ mended }) => mended >= 0.8)
    .sort((a, b) => a.rank - b.rank)
    .map(({ rank: _, ...hypothesis }) => hypothesis);
}

function tryUnit(
  suspect: Suspect,
  unit: string,
  balances: readonly MassBalance[],
): UnitHypothesis & { readonly rank: number } {
  const factor = convert(1, unit, suspect.unit);
  const mend = (value: number, response: string | undefined): number =>
    response === suspect.quantity ? value * factor : value;
  const retried = balances.map(({ section, fedArea, width, height, responses }) =>
    balanceRatio(
      section,
      fedArea * factor ** suspect.area,
      mend(height, responses.height),
      width === undefined ? undefined : mend(width, responses.width),
    ),
  );
  const distance = median(retried.map(strangeness));
  return {
    quantity: suspect.quantity,
    stated: suspect.unit,
    likely: unit,
    mended: retried.filter(isPlausible).length / retried.length,
    strangeness: distance,
    rank: distance + suspect.handicap,
  };
}

/**
 * Distance from a usual bead below which a coupon is merely odd (a flat puddle, a balled bead) and no unit is
 * suspected.
 */
const SLIP_DISTANCE = 1.5;

/**
 * Findings about coupons whose fed metal does not fit the measured bead: a slip of unit where one explains
 * them, else the bare fact. When most coupons disagree the study is refused (severity `error`).
 *
 * A coupon whose repeats at the same settings balance cannot have a slipped setting: its measurement is odd.
 */
export function unitSlipFindings(
  definition: StudyDefinition,
  balances: readonly MassBalance[],
  coupons: readonly Coupon[],
): readonly Finding[] {
  const odd = balances.filter(({ plausible }) => !plausible);
  if (odd.length === 0) return [];
  const most = odd.length > balances.length / 2;
  const contradicted = new Set([
    ...strayReadings(coupons).map(({ coupon }) => coupon),
    ...(most ? [] : couponsWithSoundRepeats(balances, coupons)),
  ]);
  const suspicious = odd.filter(
    (balance) => !contradicted.has(balance.coupon) && (most || strangeness(balance) > SLIP_DISTANCE),
  );
  const merelyOdd = odd.filter((balance) => !suspicious.includes(balance));
  const groups = byWriting(suspicious, coupons);
  return [
    ...groups.map((group) => slipFinding(definition, group, balances.length, most, coupons)),
    ...(merelyOdd.length === 0 ? [] : [openBalance(merelyOdd, balances.length, "warning")]),
  ];
}

function slipFinding(
  definition: StudyDefinition,
  group: readonly MassBalance[],
  total: number,
  most: boolean,
  coupons: readonly Coupon[],
): Finding {
  const [best, ...others] = unitHypotheses(definition, group, coupons);
  if (best === undefined) return openBalance(group, total, most ? "error" : "warning");
  const who = group.map(({ coupon }) => coupon);
  const also = others.map(({ quantity, likely }) =>
    quantity === best.quantity ? likely : `${quantity} in ${likely}`,
  );
  return {
    code: "unit-slip",
    severity: "error",
    message: `${best.quantity} is stated in ${best.stated} but looks like ${best.likely}: ${describe(group)} in ${group.length} of ${total} coupons, and with ${best.likely} ${best.mended === 1 ? "all" : percent(best.mended)} of them would be usual beads (${list(who)})`,
    advice: `${
      also.length === 0 ? "" : `less likely: ${also.join(", ")}. `
    }Mend the column header and import again, or log a correction for ${group.length === 1 ? "the coupon" : "these coupons"} with \`beadbench log --correct\``,
    about: who,
  };
}

function openBalance(group: readonly MassBalance[], total: number, severity: Finding["severity"]): Finding {
  const who = group.map(({ coupon }) => coupon);
  return {
    code: "mass-balance-open",
    severity,
    message: `the wire fed does not fit the bead measured ${group.length > 3 ? `in ${group.length} of ${total} coupons (${list(who)}): ${describe(group)}` : group.map((balance) => `on ${balance.coupon}: ${describe([balance])}`).join("; ")}`,
    advice:
      "measure the bead again, check wire diameter, feed and travel speed, and look for a slipping feed roll; if a value was mistyped, log a correction",
    about: who,
  };
}

function couponsWithSoundRepeats(
  balances: readonly MassBalance[],
  coupons: readonly Coupon[],
): ReadonlySet<string> {
  const sound = new Set(balances.filter(({ plausible }) => plausible).map(({ coupon }) => coupon));
  return new Set(
    groupBySettings(coupons)
      .filter((group) => group.some(({ id }) => sound.has(id)))
      .flatMap((group) => group.map(({ id }) => id)),
  );
}

/** Groups coupons that were written down alike: same block, same units, off to the same side. */
function byWriting(
  odd: readonly MassBalance[],
  coupons: readonly Coupon[],
): readonly (readonly MassBalance[])[] {
  const stated = statedUnitsOf(coupons);
  const block = new Map(coupons.map((coupon) => [coupon.id, coupon.blocks]));
  const groups = new Map<string, MassBalance[]>();
  for (const balance of odd) {
    const key = JSON.stringify([block.get(balance.coupon), stated.get(balance.coupon), balance.ratio > 1]);
    groups.set(key, [...(groups.get(key) ?? []), balance]);
  }
  const merged = [...groups.values()];
  // A whole file mislabelled is one slip, however many days it holds.
  const units = new Set(odd.map(({ coupon }) => JSON.stringify(stated.get(coupon))));
  const sides = new Set(odd.map(({ ratio }) => ratio > 1));
  return units.size === 1 && sides.size === 1 ? [[...odd]] : merged;
}

function describe(group: readonly MassBalance[]): string {
  const first = group[0]!;
  const middle = (of: (balance: MassBalance) => number): string => significant(median(group.map(of)));
  return first.width === undefined
    ? `a bead ${middle((b) => b.height)} mm high would have to be ${middle((b) => b.ratio * b.height)} mm wide to hold the ${middle((b) => b.fedArea)} mm2 of wire fed`
    : `${middle((b) => b.fedArea)} mm2 of wire fed against a bead of ${middle((b) => b.width ?? 0)} x ${middle((b) => b.height)} mm (fullness ${middle((b) => b.ratio)}, usual ${usualFullness[first.section].value.range.join(" to ")})`;
}

function list(names: readonly string[]): string {
  return names.length <= 6
    ? names.join(", ")
    : `${names.slice(0, 5).join(", ")} and ${names.length - 5} more`;
}
