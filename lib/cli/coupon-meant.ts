import type { Study } from "../study/record/index.js";

/**
 * The id a coupon was typed for: itself where the study has it, else the one that differs in capitals and leading zeros
 * only (`c7` for C007), or the one whose number it is (`7`); what fits none, or more than one, is a new id as typed.
 */
export function couponMeant({ coupons }: Study, typed: string): string {
  const ids = coupons.map(({ id }) => id);
  if (ids.includes(typed)) return typed;
  const [letters, number] = parts(typed);
  const found = ids.filter((id) => {
    const [own, ownNumber] = parts(id);
    return ownNumber === number && (own === letters || (letters === "" && number !== ""));
  });
  return found.length === 1 ? found[0]! : typed;
}

/** What stands before the number of an id in small letters, and the number without leading zeros: c, 7 of C007. */
function parts(id: string): readonly [string, string] {
  const [, letters, number] = /^(.*?)[-_]?0*(\d*)$/.exec(id.toLowerCase())!;
  return [letters!, number!];
}
