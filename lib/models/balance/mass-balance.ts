import { onlyDefined } from "../../errors/index.js";
import { type SectionKind, usualFullness } from "../../process/bead/index.js";
import { processOf } from "../../process/handbook/index.js";
import { beadArea, depositionEfficiencies } from "../../process/wire/index.js";
import type { Response, StudyDefinition } from "../../study/definition/index.js";
import { type Coupon, measuredOf, type StudyData } from "../../study/record/index.js";
import { convert } from "../../units/index.js";
import { measuredSize, responsesOf, sectionKindOf, sizePairs } from "../physical/index.js";
import { absurdity, physicalSettingOfCoupon } from "../settings/index.js";

/**
 * Width over height of a section. Common practice, no source: below 1 it has balled, above 10 it is
 * a puddle; most lie between 2 and 6.
 */
export const aspectRange = { lower: 1, upper: 12, usual: 3 } as const;

/** A coupon's wire balance: what was fed against what was measured. */
export interface MassBalance {
  readonly coupon: string;
  /** Whether the sizes are those of a bead on plate, of a first layer or of a wall, whose usual fullness differs. */
  readonly section: SectionKind;
  /** Names of the responses that give width and height. */
  readonly responses: { readonly height: string; readonly width?: string };
  /** Area of metal fed per length of bead, after losses, mm2. */
  readonly fedArea: number;
  /** mm, absent when not measured. */
  readonly width?: number;
  /** mm. */
  readonly height: number;
  /** `fullness` when width and height are known, else `aspect`: implied width over height. */
  readonly basis: "fullness" | "aspect";
  /** The fullness, or the aspect implied by a section of the usual fullness. */
  readonly ratio: number;
  readonly plausible: boolean;
}

interface Range {
  readonly lower: number;
  readonly upper: number;
  readonly usual: number;
}

type Judged = Pick<MassBalance, "section" | "basis" | "ratio">;

function rangeOf({ section, basis }: Pick<MassBalance, "section" | "basis">): Range {
  if (basis === "aspect") return aspectRange;
  const { value, oneCoupon } = usualFullness[section];
  return { lower: oneCoupon[0], upper: oneCoupon[1], usual: value.value };
}

/** The ratio a mass balance is judged by, from areas and sizes in mm. */
export function balanceRatio({
  section,
  fedArea,
  height,
  width,
}: {
  readonly section: SectionKind;
  readonly fedArea: number;
  readonly height: number;
  readonly width: number | undefined;
}): Judged {
  return width === undefined
    ? { section, basis: "aspect", ratio: fedArea / (usualFullness[section].value.value * height * height) }
    : { section, basis: "fullness", ratio: fedArea / (width * height) };
}

/** Whether a ratio lies in its range. */
export function isPlausible(judged: Judged): boolean {
  const { lower, upper } = rangeOf(judged);
  return judged.ratio >= lower && judged.ratio <= upper;
}

/** Distance of a ratio from the usual one, as a natural logarithm per width of its range: 0 is usual, 1 its edge. */
export function strangeness(judged: Judged): number {
  const { lower, upper, usual } = rangeOf(judged);
  const edge = judged.ratio < usual ? usual / lower : upper / usual;
  return Math.abs(Math.log(judged.ratio / usual)) / Math.log(edge);
}

/** The sizes a study's coupons are balanced by. */
export interface BalancedSizes {
  readonly of?: "bead" | "wall";
  readonly height: Response;
  readonly width?: Response;
}

/** The sizes mass balance can judge, in the order they are tried: pairs first, then heights without a width. */
export function balancedSizes(definition: Pick<StudyDefinition, "responses">): readonly BalancedSizes[] {
  const pairs = sizePairs(definition);
  const alone = responsesOf(definition.responses, "height").filter(
    (height) => !pairs.some((pair) => pair.height === height),
  );
  return [
    ...pairs,
    ...alone.map((height) => {
      const of = measuredSize(height)?.of;
      return { height, ...onlyDefined({ of }) };
    }),
  ];
}

/**
 * Compares the metal fed with the section measured, for every coupon with a height of bead or layer, a feed and a
 * travel speed. With a width the implied fullness is judged; without one the width that a section of the usual
 * fullness would need.
 *
 * @source mass balance A = phi A_w f / v; deposition efficiency from AWS Welding Handbook ranges, from memory
 */
export function massBalances({ definition, coupons }: StudyData): readonly MassBalance[] {
  const efficiency = depositionEfficiencies[processOf(definition.process)].value;
  const sizes = balancedSizes(definition);
  const millimetres = (coupon: Coupon, size: Response | undefined): number | undefined => {
    const value = size && measuredOf(coupon, size.name);
    return size === undefined || value === undefined || value <= 0
      ? undefined
      : convert(value, size.unit, "mm");
  };
  return coupons.flatMap((coupon) => {
    const setting = physicalSettingOfCoupon({ definition }, coupon);
    const {
      wire_feed_speed: wireFeedSpeed,
      travel_speed: travelSpeed,
      wire_diameter: wireDiameter,
    } = setting;
    const measured = sizes.find((size) => millimetres(coupon, size.height) !== undefined);
    if (measured === undefined || !wireFeedSpeed || !travelSpeed || !wireDiameter) return [];
    if (absurdity({ definition }, coupon) !== undefined) return [];
    const height = millimetres(coupon, measured.height)!;
    const width = millimetres(coupon, measured.width);
    const fedArea = beadArea({ wireDiameter, wireFeedSpeed, depositionEfficiency: efficiency }, travelSpeed);
    const judged = balanceRatio({ section: sectionKindOf(measured.of, coupon), fedArea, height, width });
    return [
      {
        coupon: coupon.id,
        responses: {
          height: measured.height.name,
          ...(width === undefined ? {} : { width: measured.width!.name }),
        },
        fedArea,
        height,
        ...onlyDefined({ width }),
        ...judged,
        plausible: isPlausible(judged),
      },
    ];
  });
}
