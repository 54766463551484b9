import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import type { Fold } from "../../regression/index.js";
import { type Coupon, measuredOf, type StudyData } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { knownQuantity, partnerNames, rigPhysics, sizePairs, usualFullnessOf } from "../physical/index.js";
import { physicalSettingOf, physicalSettingOfCoupon, type Settings } from "../settings/index.js";
import { type CouponBlocks, couponBlocks } from "./block-shifts.js";
import { foldsOf } from "./left-out.js";
import { type PowerLawTerm, powerLawRow, powerLawTerms } from "./power-law-data.js";
import { usableCoupons } from "./response-data.js";

/** One of the two sizes that the wire fed ties together. */
export interface ConstrainedSize {
  readonly response: string;
  readonly unit: string;
}

/** A width and a height whose product follows from the wire fed. */
export interface ConstrainedPair {
  readonly width: ConstrainedSize;
  readonly height: ConstrainedSize;
  /** What fullness, area over width times height, such sections show. */
  readonly usual: { readonly what: string; readonly lower: number; readonly upper: number };
}

/** The pairs of a study that mass balance ties, with the fullness that sections such as its coupons' show. */
export function constrainedPairs({ definition, coupons }: StudyData): readonly ConstrainedPair[] {
  const size = ({ name, unit }: { readonly name: string; readonly unit: string }): ConstrainedSize => ({
    response: name,
    unit,
  });
  return sizePairs(definition).map(({ width, height, of }) => {
    const { what, value } = usualFullnessOf(of, usableCoupons(coupons));
    const [lower, upper] = value.range;
    return { width: size(width), height: size(height), usual: { what, lower, upper } };
  });
}

/** Why a response that mass balance could tie stands alone; undefined for one that it does not concern. */
export function missingPartner(
  pairs: readonly ConstrainedPair[],
  response: string,
  unit: string,
): string | undefined {
  if (pairs.some(({ width, height }) => [width.response, height.response].includes(response)))
    return undefined;
  const partners = partnerNames({ name: response, unit });
  return partners.length === 0 ? undefined : `needs ${partners.join(" or ")} on the same coupons`;
}

/** Coupons with width, height and fed area, in logarithms. */
export interface ConstrainedData {
  /** Both, as messages name them. */
  readonly response: string;
  readonly terms: readonly PowerLawTerm[];
  readonly held: readonly string[];
  readonly coupons: readonly string[];
  /** ln(setting / reference) per term, per coupon. */
  readonly x: readonly (readonly number[])[];
  /** ln of the fed area, mm2. */
  readonly logArea: readonly number[];
  /** ln width, mm. */
  readonly logWidth: readonly number[];
  /** ln height, mm. */
  readonly logHeight: readonly number[];
  readonly settings: readonly Settings[];
  /** The block of each coupon, where the study has blocks and more than one was run. */
  readonly blocks?: CouponBlocks;
  /** What is left out together, to be foreseen from the rest. */
  readonly folds: readonly Fold[];
}

/**
 * Gathers the coupons on which width, height, feed and travel speed are all known.
 *
 * @throws {BeadbenchError} `not-enough-data` with fewer than three coupons more than settings that vary
 */
export function constrainedData(
  { definition, coupons }: StudyData,
  { width, height }: ConstrainedPair,
  without: readonly string[] = [],
): ConstrainedData {
  const physics = rigPhysics({ definition });
  const millimetres = (coupon: Coupon, { response, unit }: ConstrainedSize): number => {
    const value = measuredOf(coupon, response);
    return value === undefined ? Number.NaN : convert(value, unit, "mm");
  };
  const found = usableCoupons(coupons, without)
    .map((coupon) => ({
      coupon,
      area:
        knownQuantity("bead_area", physicalSettingOfCoupon({ definition }, coupon), physics) ?? Number.NaN,
      foreseen: knownQuantity("bead_area", physicalSettingOf({ definition }, coupon.settings), physics),
      width: millimetres(coupon, width),
      height: millimetres(coupon, height),
    }))
    .filter((c) => c.foreseen !== undefined && c.area > 0 && c.width > 0 && c.height > 0);
  const settings = found.map(({ coupon }) => coupon.settings);
  const { terms, held } = powerLawTerms(definition, settings);
  const needed = terms.length + 3;
  if (found.length < needed) {
    throw new BeadbenchError(
      "not-enough-data",
      `${width.response} and ${height.response}: ${found.length} coupons have both and a known feed and travel speed; the constrained form of ${terms.length} settings needs at least ${needed}`,
    );
  }
  for (const [size, { response }] of [
    ["width", width],
    ["height", height],
  ] as const) {
    requireDifferent(
      response,
      found.map((coupon) => coupon[size]),
    );
  }
  const blocks = couponBlocks(
    definition,
    found.map(({ coupon }) => coupon),
  );
  return {
    response: `${width.response} and ${height.response}`,
    ...onlyDefined({ blocks }),
    folds: foldsOf(definition, settings, blocks?.labels),
    settings,
    terms,
    held,
    coupons: found.map(({ coupon }) => coupon.id),
    x: settings.map((setting) => powerLawRow(terms, setting)),
    logArea: found.map(({ area }) => Math.log(area)),
    logWidth: found.map((c) => Math.log(c.width)),
    logHeight: found.map((c) => Math.log(c.height)),
  };
}

function requireDifferent(response: string, values: readonly number[]): void {
  if (new Set(values).size > 1) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${response} is the same on all ${values.length} coupons; there is nothing to fit`,
  );
}
