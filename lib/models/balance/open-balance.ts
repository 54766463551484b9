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

/** The wire's diameter, mm: a bead is only balanced where a wire is fed. */
const diameterOf = ({ wire }: StudyDefinition): number =>
  convert(wire!.diameter.value, wire!.diameter.unit, "mm");

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

/** Wire fed against bead measured, on the coupon in the middle of some. */
export function describeBalance(group: readonly MassBalance[]): string {
  // One bead that there is, in the middle of the group: medians of each size alone would make one that nobody laid.
  const { width, height, ratio, fedArea, section } = [...group].sort((a, b) => a.ratio - b.ratio)[
    Math.floor((group.length - 1) / 2)
  ]!;
  return width === undefined
    ? `a bead ${significant(height)} mm high would have to be ${significant(ratio * height)} mm wide to hold the ${significant(fedArea)} mm2 of wire fed`
    : `${significant(fedArea)} mm2 of wire fed against a bead of ${significant(width)} x ${significant(height)} mm (fullness ${significant(ratio)}, usual ${usualFullness[section].value.range.join(" to ")})`;
}
