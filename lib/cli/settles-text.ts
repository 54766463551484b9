import { counted, normalCdf, normalQuantile, percent, significant } from "../numeric/index.js";
import type { StudyDefinition } from "../study/index.js";
import { withUnit } from "../units/index.js";

/** How well a result of a new bead is foretold, in the result's unit. */
export interface Foretold {
  readonly response: string;
  /** Standard deviation of a new bead about what is foretold for it. */
  readonly error: number;
  /** The part of it that no model takes away: scatter from bead to bead. */
  readonly scatter: number;
}

/** A specification with both ends, and the value to aim at. */
export interface Wanted {
  readonly response: string;
  readonly unit: string;
  readonly lower: number;
  readonly upper: number;
  /** The target, or the middle. */
  readonly aim: number;
  /** From the aim to the nearer end. */
  readonly half: number;
}

/** Results of a study that are wanted between two ends. */
export function wantedSizes({ responses }: StudyDefinition): readonly Wanted[] {
  return responses.flatMap(({ name, unit, spec }) => {
    const { lower, upper, target } = spec ?? {};
    if (lower === undefined || upper === undefined) return [];
    const aim = target !== undefined && target > lower && target < upper ? target : (lower + upper) / 2;
    return [{ response: name, unit, lower, upper, aim, half: Math.min(upper - aim, aim - lower) }];
  });
}

/** Share of beads within the specification above which a result is settled, and nearly so. */
const SETTLED = 0.95;
const NEARLY = 0.8;
const z = normalQuantile((1 + SETTLED) / 2);

/** Share of normal errors that stay within `half`. */
const within = (half: number, sd: number): number => 2 * normalCdf(half / sd) - 1;

/** Whether nearly all beads aimed at the middle of a specification would lie within. */
export const isSettled = ({ half }: Wanted, { error }: Foretold): boolean => within(half, error) >= SETTLED;

/**
 * Whether beads can be aimed into a specification, in the user's units: how well one is foretold, how many of those aimed
 * at its middle would lie within, and whether more coupons could mend it or the scatter itself is too wide.
 *
 * @param by - what the verdict rests on, such as " by the coupons already run"
 */
export function settlesText(wanted: Wanted, { error, scatter }: Foretold, by = ""): string {
  const { response, unit, lower, upper, aim, half } = wanted;
  const share = within(half, error);
  const verdict = share >= SETTLED ? "settled" : share >= NEARLY ? "nearly settled" : "not settled";
  const ends = withUnit(`${significant(lower)} to ${significant(upper)}`, unit);
  const told = `A bead at a setting not tried is foretold to within ${withUnit(significant(z * error, 2), unit)} (95 in 100); of beads aimed at ${withUnit(significant(aim), unit)}, ${percent(share)} would lie within.`;
  return `${response}, wanted ${ends}: ${verdict}${by}. ${told}${mend(share, within(half, scatter))}`;
}

function mend(share: number, byScatter: number): string {
  if (share >= SETTLED) return "";
  return byScatter >= SETTLED
    ? ` More coupons can settle it: scatter from bead to bead alone would leave ${percent(byScatter)}.`
    : ` More coupons alone cannot: scatter from bead to bead leaves ${percent(byScatter)} at best; steady the rig, measure better, or widen what is wanted.`;
}

/** Times the coupons at hand up to which more of them are worth naming. */
const MORE = 4;

/**
 * Whether coupons still to be run will settle a specification.
 *
 * @param coupons - those planned and those run, together
 * @param doubt - standard error of what is foretold over the scatter, at half of the settings or less
 * @param known - where the scatter is from
 */
export function willSettleText(
  { response, unit, lower, upper, half }: Wanted,
  {
    scatter,
    doubt,
    coupons,
    known,
  }: { readonly scatter: number; readonly doubt: number; readonly coupons: number; readonly known: string },
): string {
  const reach = z * scatter * Math.sqrt(1 + doubt ** 2);
  const ends = withUnit(`${significant(lower)} to ${significant(upper)}`, unit);
  const told = `a new bead will be foretold to within ${withUnit(significant(reach, 2), unit)} (95 in 100) over half of the settings, at a scatter of ${withUnit(significant(scatter, 2), unit)} (${known})`;
  const room = (half / (z * scatter)) ** 2 - 1;
  const needed = room <= 0 ? Number.POSITIVE_INFINITY : Math.ceil((coupons * doubt ** 2) / room);
  const enough =
    reach <= half
      ? `${counted(coupons, "coupon is", "coupons are")} enough`
      : needed <= MORE * coupons
        ? `${counted(coupons, "coupon is", "coupons are")} not enough, about ${needed} placed alike would be`
        : `${counted(coupons, "coupon is", "coupons are")} not enough and more would hardly do, since scatter alone fills what is wanted: steady the rig, measure better, or widen it`;
  return `To hold ${response} at ${ends}, ${enough}: ${told}.`;
}
