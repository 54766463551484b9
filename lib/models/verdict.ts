import { type Coupon, type DefinedStudy, isGood, kindRules, resultOf } from "../study/index.js";

/** How a coupon came out against the specification. */
export type Verdict = "passed" | "failed" | "not judged" | "voided";

/**
 * Judges a coupon: failed as soon as one check failed or one measured response lies outside its specification;
 * passed when everything that is specified was measured and is within; else not judged.
 */
export function judgeCoupon({ definition }: DefinedStudy, coupon: Coupon): Verdict {
  if (coupon.state !== "logged") return coupon.state === "voided" ? "voided" : "not judged";
  let missing = false;
  for (const { name, kind, spec } of definition.responses) {
    if (kindRules(kind).spec && spec === undefined) continue;
    const result = resultOf(coupon, name);
    if (result === undefined) missing = true;
    else if (isGood(result, spec) === false) return "failed";
  }
  return missing ? "not judged" : "passed";
}
