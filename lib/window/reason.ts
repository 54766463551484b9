import type { OutcomeModel, Settings } from "../models/index.js";
import { knownQuantity, physicalSettingOf, rigPhysics } from "../models/index.js";
import { fixed, percent } from "../numeric/index.js";
import type { Conformance } from "./conformance.js";

/** What is known of a proposal when its reason is worded. */
interface Known extends Conformance {
  readonly survival: number;
  readonly gain: number;
  readonly level: number;
}

/** One sentence on why a coupon is proposed and what it is expected to change. */
export function reasonFor({
  model,
  settings,
  role,
  known,
}: {
  readonly model: OutcomeModel;
  readonly settings: Settings;
  readonly role: "explore" | "hit" | "edge" | "confirm";
  readonly known: Known;
}): string {
  const [low, high] = known.interval;
  const gain =
    known.gain < 0.0005
      ? "alone it hardly changes the best chance"
      : `alone it is expected to raise the best chance by ${fixed(100 * known.gain, 1)} points`;
  const range = `${percent(low)} to ${percent(high)}`;
  if (role === "confirm")
    return `repeats the recommended setting: a chance of ${percent(known.chance)} is claimed, and each repeat confirms or refutes it`;
  if (role === "edge") {
    return `the chance, ${percent(known.chance)}, falls through ${percent(known.level)} about here, between ${range} as far as is known; ${gain}`;
  }
  const physics = physicsOf(model, settings);
  if (model.coupons === 0) {
    const place =
      physics === ""
        ? "before any coupon, and with no physics for these factors: a setting away from the others"
        : `before any coupon, by the physics and one guess at its constants: ${physics} lay the specified bead`;
    return `${place}; ${percent(known.survival)} of such coupons survive as far as is known`;
  }
  if (role === "explore") {
    return `likely to teach: the chance here, ${percent(known.chance)}, is only known to lie between ${range}, and ${percent(known.survival)} of such coupons survive; ${gain}`;
  }
  const weakest = weakestOf(known);
  return `the coupons leave open that the best setting lies about here (chance ${percent(known.chance)}, ${range}; ${weakest}); ${gain}`;
}

function weakestOf(known: Known): string {
  const all = [...Object.entries(known.perResponse), ...Object.entries(known.perCheck)];
  const [weakest] = all.sort((a, b) => a[1] - b[1]);
  return weakest === undefined ? "nothing is judged" : `most at risk: ${weakest[0]}, ${percent(weakest[1])}`;
}

/** The physical quantities that place a first coupon; empty where none is known. */
function physicsOf(model: OutcomeModel, settings: Settings): string {
  const physics = rigPhysics(model);
  const setting = physicalSettingOf(model, settings);
  const parts = (
    [
      ["bead_area", "mm2 of metal per mm", "", 1],
      ["arc_energy", `J/mm of ${physics.source} energy`, "", 0],
      ["wire_share", `of the ${physics.source} power for the wire`, "%", 0],
    ] as const
  ).flatMap(([name, words, as, digits]) => {
    const value = knownQuantity(name, setting, physics);
    if (value === undefined) return [];
    return [as === "%" ? `${percent(value)} ${words}` : `${fixed(value, digits)} ${words}`];
  });
  return parts.join(", ");
}
