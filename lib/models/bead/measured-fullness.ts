import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert, sameDimension } from "../../units/index.js";

/**
 * Adds the fullness, area over width times height, to coupons on which all three were measured, unless the study
 * measures a fullness itself. It is then a response like any other.
 */
export function withMeasuredFullness(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
): readonly Coupon[] {
  const unit = new Map(definition.responses.map((response) => [response.name, response.unit]));
  const area = unit.get("bead_area");
  const [width, height] = [unit.get("bead_width"), unit.get("bead_height")];
  if (unit.has("fullness") || area === undefined || width === undefined || height === undefined)
    return coupons;
  if (!sameDimension(area, "mm2")) return coupons;
  return coupons.map((coupon) => {
    const { bead_area: a, bead_width: w, bead_height: h } = coupon.measured;
    if (a === undefined || w === undefined || h === undefined || !(a > 0 && w > 0 && h > 0)) return coupon;
    const fullness = convert(a, area, "mm2") / (convert(w, width, "mm") * convert(h, height, "mm"));
    return { ...coupon, measured: { ...coupon.measured, fullness } };
  });
}
