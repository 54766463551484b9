import { type Finding, grouped } from "../../errors/index.js";
import { inWords, settingDigits, significant } from "../../numeric/figures/index.js";
import type { StudyDefinition } from "../../study/definition/index.js";
import { type Coupon, measuredOf, type StudyData } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";
import { correctionCommand } from "../gate/index.js";
import type { PenSlip } from "./pen-slips.js";

/** Slips that one exchange explains: of two sizes of a coupon, or of the readings of two coupons. */
export interface Exchange {
  readonly slips: readonly PenSlip[];
  /** What stands for each coupon when the values change places. */
  readonly mended: readonly { readonly coupon: string; readonly column: string; readonly value: number }[];
}

/** How far from what was foreseen, in half widths of its 95 % limits, a value may lie for several to fit at once. */
const NEAR = 1.5;

function fits({ expected: { value: foreseen, upper } }: PenSlip, value: number | undefined): boolean {
  return value !== undefined && Math.abs(Math.log(value / foreseen)) <= NEAR * Math.log(upper / foreseen);
}

/**
 * Slips that explain each other: each value lies where the other one was foreseen. A coupon that could have been exchanged
 * with more than one other is left to be told by itself.
 */
export function exchanges(
  { definition, coupons }: StudyData,
  slips: readonly PenSlip[],
): readonly Exchange[] {
  const within = [...grouped(slips, ({ coupon }) => coupon).values()].flatMap((own) =>
    sizesExchanged(definition, own),
  );
  const explained = new Set(within.flatMap((one) => one.slips));
  const rest = slips.filter((slip) => !explained.has(slip));
  return [...within, ...readingsExchanged(coupons, rest)];
}

/** Two sizes of one unit on one coupon, each written in the column of the other. */
function sizesExchanged(definition: StudyDefinition, own: readonly PenSlip[]): readonly Exchange[] {
  const unitOf = (name: string): string | undefined =>
    definition.responses.find((response) => response.name === name)?.unit;
  return pairsOf(own).flatMap(([a, b]) =>
    unitOf(a.response) === unitOf(b.response) && fits(a, b.value) && fits(b, a.value)
      ? [{ slips: [a, b], mended: [moved(a, b.value), moved(b, a.value)] }]
      : [],
  );
}

const moved = ({ coupon, response }: PenSlip, value: number): Exchange["mended"][number] => ({
  coupon,
  column: response,
  value,
});

/** Two coupons, each with the readings of the other. */
function readingsExchanged(coupons: readonly Coupon[], slips: readonly PenSlip[]): readonly Exchange[] {
  const byCoupon = grouped(slips, ({ coupon }) => coupon);
  const known = new Map(coupons.map((coupon) => [coupon.id, coupon]));
  const found = pairsOf([...byCoupon.keys()]).flatMap(([one, other]): Exchange[] => {
    const both = [...byCoupon.get(one)!, ...byCoupon.get(other)!];
    const readingOf = (id: string, response: string): number | undefined =>
      measuredOf(known.get(id)!, response);
    if (!both.every((slip) => fits(slip, readingOf(slip.coupon === one ? other : one, slip.response))))
      return [];
    const columns = [...new Set(both.map(({ response }) => response))];
    const mended = [one, other].flatMap((coupon) =>
      columns.map((column) => ({ coupon, column, value: readingOf(coupon === one ? other : one, column)! })),
    );
    return [{ slips: both, mended }];
  });
  const times = grouped(
    found.flatMap(({ mended }) => [...new Set(mended.map(({ coupon }) => coupon))]),
    (coupon) => coupon,
  );
  return found.filter(({ mended }) => mended.every(({ coupon }) => times.get(coupon)!.length === 1));
}

const pairsOf = <T>(list: readonly T[]): readonly (readonly [T, T])[] =>
  list.flatMap((a, i) => list.slice(i + 1).map((b) => [a, b] as const));

/** The finding on an exchange; as grave as the gravest of its slips. */
export function exchangeFinding(
  { slips, mended }: Exchange,
  unitOf: (response: string) => string,
  severity: Finding["severity"],
): Finding {
  const coupons = [...new Set(mended.map(({ coupon }) => coupon))];
  const columns = [...new Set(mended.map(({ column }) => column))];
  const sizes = columns.map((column) => inWords(column)).join(" and ");
  const written = slips
    .map(
      ({ coupon, response, value }) =>
        `${coupons.length === 1 ? "" : `${coupon} `}${inWords(response)} ${withUnit(significant(value), unitOf(response))}`,
    )
    .join(", ");
  const commands = coupons.map((coupon) =>
    correctionCommand(
      coupon,
      ...mended.flatMap((one) =>
        one.coupon === coupon
          ? [[one.column, withUnit(settingDigits(one.value), unitOf(one.column))] as const]
          : [],
      ),
    ),
  );
  return {
    code: "exchanged-values",
    severity,
    message:
      coupons.length === 1
        ? `${coupons[0]}: ${sizes} were likely written in each other's place (${written}): each is what the other coupons foresee for the other`
        : `${coupons.join(" and ")}: the readings of ${sizes} were likely exchanged (${written}): each fits the settings of the other coupon; look whether the rest of their lines was, too`,
    advice: `look at the sheet; if so: ${commands.join(" and: ")}`,
    about: coupons,
  };
}
