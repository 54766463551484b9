import { inWords } from "../../numeric/figures/index.js";
import type { Coupon } from "../../study/index.js";

/**
 * The block a coupon was run in: all its block columns together, in alphabetical order, such as `cylinder 2, day 4`;
 * the day it was logged where it names none.
 */
export function blockOf({ blocks, time }: Pick<Coupon, "blocks" | "time">): string {
  const named = Object.entries(blocks).sort(([a], [b]) => (a < b ? -1 : 1));
  if (named.length === 0) return time.slice(0, 10);
  return named.map(([column, value]) => `${inWords(column)} ${value}`).join(", ");
}
