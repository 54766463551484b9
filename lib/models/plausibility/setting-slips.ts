import { ownValue } from "../../errors/index.js";
import { median, standardDeviation } from "../../numeric/figures/index.js";
import type { Coupon, Factor, StudyData } from "../../study/index.js";
import { convert, unitsLike } from "../../units/index.js";
import { slipChance } from "./slip-chance.js";
import { type Meant, meantInUnit } from "./typed-slips.js";

/** A setting far from those of all other coupons. */
export interface SettingSlip {
  readonly coupon: string;
  readonly factor: string;
  readonly unit: string;
  /** In the factor's unit. */
  readonly value: number;
  readonly chance: number;
  /** Lowest and highest setting of the other coupons. */
  readonly others: readonly [low: number, high: number];
  readonly meant?: Pick<Meant, "value" | "how">;
}

/** Share of a range by which a setting may lie beyond all others before anyone asks. */
const ROOM = 0.25;
/** Least standard deviation of logarithms of settings: a factor held nearly still still moves. */
const LEAST_SPREAD = 0.15;
/** Settings are laid out over a range, not scattered like a normal number. */
const FREEDOM = 6;
const NAMED = 0.3;

/**
 * Settings beyond those of all other coupons that are likelier slips of the pen than an excursion: a current of 1500 A
 * among 120 to 180. The study's own range does not count, since it may be drawn from the same file.
 */
export function settingSlips({ definition, coupons }: StudyData): readonly SettingSlip[] {
  return definition.factors
    .filter(({ kind }) => kind !== "category")
    .flatMap((factor) => slipsOf(factor, coupons));
}

function slipsOf(factor: Factor, coupons: readonly Coupon[]): readonly SettingSlip[] {
  const { name, unit } = factor;
  const all = coupons.flatMap((coupon) => {
    const value = ownValue(coupon.settings, name);
    return typeof value === "number" && value > 0 ? [{ coupon, value }] : [];
  });
  if (all.length < 5) return [];
  const sorted = all.map(({ value }) => value).sort((a, b) => a - b);
  return all.flatMap(({ coupon, value }): SettingSlip[] => {
    const rest = all.filter((one) => one.coupon !== coupon).map((one) => one.value);
    // Two coupons with the same slip do not excuse each other.
    const core = sorted.filter((one) => Math.abs(Math.log(one / value)) > 1e-9);
    const others = core.length >= 0.8 * all.length ? core : rest;
    const [low, high] = [Math.min(...others), Math.max(...others)];
    const room = ROOM * (high - low);
    if (value >= low - room && value <= high + room) return [];
    const logs = others.map(Math.log);
    const sd = Math.max(LEAST_SPREAD, standardDeviation(logs));
    const typed = ownValue(coupon.statedUnits, name) ?? unit;
    const meant = [...meantInUnit(value, unit, typed), ...inOtherUnits(value, unit, typed)].filter(
      (one) => one.value >= low - room / 2 && one.value <= high + room / 2,
    );
    const found = slipChance({ y: Math.log(value), meant }, { mean: median(logs), sd }, FREEDOM);
    if (meant.length === 0 || found.chance < NAMED) return [];
    return [
      {
        coupon: coupon.id,
        factor: name,
        unit,
        value,
        chance: found.chance,
        others: [low, high],
        ...(found.meant === undefined ? {} : { meant: found.meant }),
      },
    ];
  });
}

/** The number that was typed as if it were in another unit of its kind. */
function inOtherUnits(value: number, unit: string, typed: string): readonly Meant[] {
  const written = convert(value, unit, typed);
  return unitsLike(typed)
    .filter((other) => other !== typed)
    .map((other) => ({
      value: convert(convert(written, other, typed), typed, unit),
      weight: 0.02,
      how: `it is in ${other}`,
    }));
}
