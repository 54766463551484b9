import { ownValue } from "../../errors/index.js";
import type { Study } from "./study.js";

/** Names under which a block is the day. */
export const dayBlocks: readonly string[] = ["day", "date"];

/**
 * The day of a coupon that is logged now, for a study with a block `day` or `date`: today's date, or, where the study
 * names its days otherwise (1, 2, ...), the name that all coupons logged earlier today have; nothing where they have none
 * or several.
 *
 * @returns the block with its value; nothing where the coupon has its day already
 */
export function dayOfLogging({
  study,
  coupon,
  now,
}: {
  readonly study: Study;
  readonly coupon: string;
  readonly now: Date;
}): Readonly<Record<string, string>> {
  const block = dayBlocks.find((name) => study.definition.blocks.includes(name));
  if (block === undefined) return {};
  const logged = study.coupons.filter(({ state }) => state === "logged");
  if (logged.some(({ id, blocks }) => id === coupon && ownValue(blocks, block) !== undefined)) return {};
  const today = localDate(now);
  const named = logged.filter(({ blocks }) => ownValue(blocks, block) !== undefined);
  if (named.every(({ blocks }) => /^\d{4}-\d\d-\d\d$/.test(ownValue(blocks, block)!)))
    return { [block]: today };
  const [label, ...others] = new Set(
    named
      .filter(({ time }) => localDate(new Date(time)) === today)
      .map(({ blocks }) => ownValue(blocks, block)!),
  );
  return label === undefined || others.length > 0 ? {} : { [block]: label };
}

/** The date on the wall of the shop, as ISO 8601 writes it. */
function localDate(moment: Date): string {
  const two = (part: number): string => String(part).padStart(2, "0");
  return `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
}
