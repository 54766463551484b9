import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { derivedQuantity, physicalSettingOfCoupon, rigPhysics } from "../physical/index.js";
import { type PowerLawTerm, powerLawRow, powerLawTerms, usableCoupons } from "./power-law-data.js";

/** Coupons with width, height and fed area, in logarithms. */
export interface ConstrainedData {
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
}

/** Gathers the coupons on which width, height, feed and travel speed are all known. */
export function constrainedData(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  without: readonly string[] = [],
): ConstrainedData {
  const physics = rigPhysics(definition);
  const unitOf = (name: string): string => definition.responses.find((r) => r.name === name)?.unit ?? "mm";
  const millimetres = (coupon: Coupon, name: string): number => {
    const value = coupon.measured[name];
    return value === undefined ? Number.NaN : convert(value, unitOf(name), "mm");
  };
  const found = usableCoupons(coupons, without)
    .map((coupon) => ({
      coupon,
      area: derivedQuantity("bead_area", physicalSettingOfCoupon(definition, coupon), physics) ?? Number.NaN,
      width: millimetres(coupon, "bead_width"),
      height: millimetres(coupon, "bead_height"),
    }))
    .filter(({ area, width, height }) => area > 0 && width > 0 && height > 0);
  const { terms, held } = powerLawTerms(
    definition,
    found.map(({ coupon }) => coupon),
  );
  return {
    terms,
    held,
    coupons: found.map(({ coupon }) => coupon.id),
    x: found.map(({ coupon }) => powerLawRow(terms, coupon.settings)),
    logArea: found.map(({ area }) => Math.log(area)),
    logWidth: found.map(({ width }) => Math.log(width)),
    logHeight: found.map(({ height }) => Math.log(height)),
  };
}
