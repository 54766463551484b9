import { arcProcessOf, beadArea, depositionEfficiencies } from "../../process/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { physicalSettingOfCoupon } from "../physical/index.js";
import { absurdity } from "./arc.js";

/** Fullness (area over width times height) a wetted bead can have, with room for scatter and losses. */
export const fullnessRange = { lower: 0.45, upper: 0.95, usual: 2 / 3 } as const;

/**
 * Width over height of a bead on plate. Common practice, no source: below 1 it has balled, above 10 it is
 * a puddle; most lie between 2 and 6.
 */
export const aspectRange = { lower: 1, upper: 12, usual: 3 } as const;

/** A coupon's wire balance: what was fed against what was measured. */
export interface MassBalance {
  readonly coupon: string;
  /** Area of metal fed per length of bead, after losses, mm2. */
  readonly fedArea: number;
  /** mm, absent when not measured. */
  readonly width?: number;
  /** mm. */
  readonly height: number;
  /** `fullness` when width and height are known, else `aspect`: implied width over height. */
  readonly basis: "fullness" | "aspect";
  /** The fullness, or the aspect implied by a parabolic bead. */
  readonly ratio: number;
  readonly plausible: boolean;
}

const ranges = { fullness: fullnessRange, aspect: aspectRange } as const;

/** The ratio a mass balance is judged by, from areas and sizes in mm. */
export function balanceRatio(
  fedArea: number,
  height: number,
  width: number | undefined,
): Pick<MassBalance, "basis" | "ratio"> {
  return width === undefined
    ? { basis: "aspect", ratio: fedArea / (fullnessRange.usual * height * height) }
    : { basis: "fullness", ratio: fedArea / (width * height) };
}

/** Whether a ratio lies in its range. */
export function isPlausible({ basis, ratio }: Pick<MassBalance, "basis" | "ratio">): boolean {
  return ratio >= ranges[basis].lower && ratio <= ranges[basis].upper;
}

/** Distance of a ratio from the usual one, as a natural logarithm per width of its range: 0 is usual, 1 its edge. */
export function strangeness({ basis, ratio }: Pick<MassBalance, "basis" | "ratio">): number {
  const { lower, upper, usual } = ranges[basis];
  const edge = ratio < usual ? usual / lower : upper / usual;
  return Math.abs(Math.log(ratio / usual)) / Math.log(edge);
}

/**
 * Compares the metal fed with the bead measured, for every coupon with a bead height, a feed and a travel
 * speed. With a width the implied fullness is judged; without one the width that a parabolic bead would need.
 *
 * @source mass balance A = phi A_w f / v; deposition efficiency from AWS Welding Handbook ranges, from memory
 */
export function massBalances(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
): readonly MassBalance[] {
  const units = new Map(definition.responses.map(({ name, unit }) => [name, unit]));
  const efficiency = depositionEfficiencies[arcProcessOf(definition.process)].value;
  const millimetres = (coupon: Coupon, name: string): number | undefined => {
    const value = coupon.measured[name];
    return value === undefined || value <= 0 ? undefined : convert(value, units.get(name) ?? "mm", "mm");
  };
  return coupons.flatMap((coupon) => {
    const setting = physicalSettingOfCoupon(definition, coupon);
    const {
      wire_feed_speed: wireFeedSpeed,
      travel_speed: travelSpeed,
      wire_diameter: wireDiameter,
    } = setting;
    const height = millimetres(coupon, "bead_height");
    if (height === undefined || !wireFeedSpeed || !travelSpeed || !wireDiameter) return [];
    if (absurdity(definition, coupon) !== undefined) return [];
    const width = millimetres(coupon, "bead_width");
    const fedArea = beadArea({ wireDiameter, wireFeedSpeed, depositionEfficiency: efficiency }, travelSpeed);
    const judged = balanceRatio(fedArea, height, width);
    return [
      {
        coupon: coupon.id,
        fedArea,
        height,
        ...(width === undefined ? {} : { width }),
        ...judged,
        plausible: isPlausible(judged),
      },
    ];
  });
}
