import { type Coupon, measuredOf, type StudyData } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { responsesOf, sizePairs } from "../physical/index.js";

/**
 * Adds the fullness, area over width times height, to coupons on which all three were measured, unless the study
 * measures a fullness itself. It is then a response like any other.
 */
export function withMeasuredFullness({ definition, coupons }: StudyData): readonly Coupon[] {
  const [area] = responsesOf(definition.responses, "area");
  const [pair] = sizePairs(definition);
  if (definition.responses.some(({ name }) => name === "fullness")) return coupons;
  if (area === undefined || pair === undefined) return coupons;
  return coupons.map((coupon) => {
    const [a, w, h] = [area, pair.width, pair.height].map(({ name }) => measuredOf(coupon, name));
    if (a === undefined || w === undefined || h === undefined || !(a > 0 && w > 0 && h > 0)) return coupon;
    const fullness =
      convert(a, area.unit, "mm2") / (convert(w, pair.width.unit, "mm") * convert(h, pair.height.unit, "mm"));
    const results = { ...coupon.results, fullness: { kind: "measured", value: fullness } as const };
    return { ...coupon, results };
  });
}
