import { ownValue } from "../../errors/index.js";
import { mean, median, robustStandardDeviation } from "../../numeric/figures/index.js";
import type { Response } from "../../study/definition/index.js";
import { type Coupon, type StudyData, scatterOf } from "../../study/record/index.js";
import { slipChance } from "./slip-chance.js";
import { type Meant, meantInUnit } from "./typed-slips.js";

/** One station reading that is likelier a slip of the pen than metal. */
export interface StationSlip {
  readonly coupon: string;
  readonly response: string;
  /** 1-based. */
  readonly station: number;
  readonly reading: number;
  readonly chance: number;
  /** Median of the coupon's other readings. */
  readonly usual: number;
  readonly meant?: Pick<Meant, "value" | "how">;
}

/** There are many readings to a coupon: one is named only when it is nearly sure. */
const NAMED = 0.8;
/** Least scatter of readings along a bead, relative; a calliper rounds. */
const LEAST_SCATTER = 0.01;
const FEWEST_READINGS = 12;

/** Station readings out of line with the others of their coupon, by the scatter that all coupons show along a bead. */
export function stationSlips({ definition, coupons }: StudyData): readonly StationSlip[] {
  return definition.responses.flatMap((response) => slipsOf(response, coupons));
}

function slipsOf({ name, unit }: Response, coupons: readonly Coupon[]): readonly StationSlip[] {
  const beads = coupons.flatMap((coupon) => {
    const readings = scatterOf(coupon, name)?.readings ?? [];
    return readings.length < 3 || readings.some((reading) => !(reading > 0)) ? [] : [{ coupon, readings }];
  });
  const departures = beads.flatMap(({ readings }) =>
    readings.map((reading, i) => {
      const others = readings.filter((_, j) => j !== i);
      return Math.log(reading / median(others));
    }),
  );
  if (departures.length < FEWEST_READINGS) return [];
  // Of a few readings the median moves with each: the pooled departures hold that already.
  const sd = Math.max(LEAST_SCATTER, robustStandardDeviation(departures), mean(departures.map(Math.abs)) / 2);
  return beads.flatMap(({ coupon, readings }) =>
    readings.flatMap((reading, i): StationSlip[] => {
      const usual = median(readings.filter((_, j) => j !== i));
      // So near, no slip can be nearly sure: the density of good readings is at least a sixth of its peak.
      if (Math.abs(Math.log(reading / usual)) < 2 * sd) return [];
      const meant = meantInUnit(reading, unit, ownValue(coupon.statedUnits, name));
      const found = slipChance({ y: Math.log(reading), meant }, { mean: Math.log(usual), sd }, 4);
      if (found.chance < NAMED) return [];
      return [
        {
          coupon: coupon.id,
          response: name,
          station: i + 1,
          reading,
          chance: found.chance,
          usual,
          ...(found.meant === undefined ? {} : { meant: found.meant }),
        },
      ];
    }),
  );
}
