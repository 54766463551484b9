import type { Finding } from "../../errors/index.js";
import { inWords } from "../../numeric/index.js";
import type { Coupon } from "../../study/index.js";
import { type CouponGroups, ownBlock } from "./groups.js";
import type { ResponseShift } from "./response-shift.js";

/** What a comparison of groups cannot tell apart. */
export function groupFindings(
  coupons: readonly Coupon[],
  groups: CouponGroups,
  shifts: readonly ResponseShift[],
): readonly Finding[] {
  const { a, b, what } = groups;
  const of = (side: string): readonly Coupon[] => coupons.filter((one) => groups.labelOf(one) === side);
  const sides = [a, b].map((side) => ({ side, coupons: of(side) }));
  const single = sides.filter(({ coupons: own }) => own.length === 1);
  const nested = shifts.filter(({ otherBlocks }) => otherBlocks === "not-told-apart");
  const apart = groups.besides.filter((column) => {
    const [one, other] = sides.map(
      ({ coupons: own }) => new Set(own.map((coupon) => ownBlock(coupon, column))),
    );
    return ![...one!].every((level) => other!.has(level));
  });
  return [
    ...single.map(
      ({ side, coupons: own }): Finding => ({
        code: "single-coupon",
        severity: "warning",
        message: `${what} ${side} has a single coupon, ${own[0]!.id}: what went wrong with that one bead is taken for a difference of the ${what}`,
        advice: "run two or three more there, one of them at a setting of the other",
        about: [own[0]!.id],
      }),
    ),
    ...(nested.length === 0
      ? []
      : [
          {
            code: "blocks-not-told-apart",
            severity: "warning" as const,
            message: `the two also differ in ${(apart.length === 0 ? groups.besides : apart).map(inWords).join(" and ")}, and what that does cannot be told from the difference: the ranges do not hold it`,
            advice: "run some coupons of both in one session, or each over three sessions or more",
            about: nested.map(({ response }) => response),
          },
        ]),
  ];
}
