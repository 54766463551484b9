import type { Finding } from "../../errors/index.js";
import { brief, median, significant } from "../../numeric/figures/index.js";
import { usualFullness } from "../../process/bead/index.js";
import { standardWireDiameters } from "../../process/wire/index.js";
import type { StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { listed } from "./listed.js";
import { isPlausible, type MassBalance, strangeness } from "./mass-balance.js";

/** Distance from a usual bead, in widths of the plausible range, that no measurement explains. */
const IMPOSSIBLE = 2;

/**
 * The finding on coupons whose fed metal does not fit the bead measured, and whose units explain nothing. When all of
 * a study's coupons are off alike, the wire's diameter may be wrong: those sold that would fit are named.
 *
 * @param total - coupons that could be balanced
 */
export function openBalance(
  definition: StudyDefinition,
  group: readonly MassBalance[],
  total: number,
): Finding {
  const who = group.map(({ coupon }) => coupon);
  const most = group.length > total / 2;
  const where =
    group.length > 3
      ? `in ${group.length} of ${total} coupons (${listed(who)}): ${describeBalance(group)}`
      : group.map((balance) => `on ${balance.coupon}: ${describeBalance([balance])}`).join("; ");
  const wire = group.length > 0.8 * total && total > 1 ? wiresThatFit(definition, group) : [];
  const otherWire =
    wire.length === 0
      ? ""
      : `a wire of ${wire.map((diameter) => brief(diameter)).join(" or ")} mm instead of ${brief(diameterOf(definition))} mm would fit: measure it. `;
  return {
    code: "mass-balance-open",
    severity: most && median(group.map(strangeness)) > IMPOSSIBLE ? "error" : "warning",
    message: `the wire fed does not fit the bead measured ${where}`,
    advice: `${otherWire}Measure the bead again, check wire diameter, feed and travel speed, and look for a slipping feed roll; if a value was mistyped, log a correction`,
    about: who,
  };
}

const diameterOf = ({ wire }: StudyDefinition): number =>
  convert(wire.diameter.value, wire.diameter.unit, "mm");

/** Diameters sold that would make these beads usual, nearest to the usual first; three at most. */
function wiresThatFit(definition: StudyDefinition, group: readonly MassBalance[]): readonly number[] {
  const own = diameterOf(definition);
  return standardWireDiameters
    .map((diameter) => {
      const retried = group.map((balance) => ({ ...balance, ratio: balance.ratio * (diameter / own) ** 2 }));
      return {
        diameter,
        fits: retried.filter(isPlausible).length / group.length,
        distance: median(retried.map(strangeness)),
      };
    })
    .filter(({ fits }) => fits > 0.8)
    .sort((a, b) => a.distance - b.distance)
    .slice(0, 3)
    .map(({ diameter }) => diameter);
}

/** Wire fed against bead measured, in the middle of some coupons. */
export function describeBalance(group: readonly MassBalance[]): string {
  const first = group[0]!;
  const middle = (of: (balance: MassBalance) => number): string => significant(median(group.map(of)));
  return first.width === undefined
    ? `a bead ${middle((b) => b.height)} mm high would have to be ${middle((b) => b.ratio * b.height)} mm wide to hold the ${middle((b) => b.fedArea)} mm2 of wire fed`
    : `${middle((b) => b.fedArea)} mm2 of wire fed against a bead of ${middle((b) => b.width ?? 0)} x ${middle((b) => b.height)} mm (fullness ${middle((b) => b.ratio)}, usual ${usualFullness[first.section].value.range.join(" to ")})`;
}
