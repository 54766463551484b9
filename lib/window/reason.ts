import type { OutcomeModel, Settings } from "../models/index.js";
import { knownQuantity, physicalSettingOf, rigPhysics } from "../models/index.js";
import { fixed, inWords, percent } from "../numeric/index.js";
import type { Conformance } from "./conformance.js";
import type { Parting } from "./parting.js";

/** What is known of a proposal when its reason is worded. */
interface Known extends Conformance {
  readonly survival: number;
  readonly gain: number;
  readonly level: number;
}

/** Why a coupon is proposed: what it shares with others of its batch, and what is its own. */
export interface Reason {
  readonly because: string;
  readonly own: string;
}

/** Why a coupon is proposed and what it is expected to change. */
export function reasonFor({
  model,
  settings,
  role,
  known,
  parting,
}: {
  readonly model: OutcomeModel;
  readonly settings: Settings;
  readonly role: "explore" | "hit" | "edge" | "confirm" | "part";
  readonly known: Known;
  readonly parting: Pick<Parting, "factors" | "measured"> | undefined;
}): Reason {
  const [low, high] = known.interval;
  const gain =
    known.gain < 0.0005
      ? "alone it hardly changes the best chance"
      : `alone it is expected to raise the best chance by ${fixed(100 * known.gain, 1)} points`;
  const range = `${percent(low)} to ${percent(high)}`;
  const survival = `${percent(known.survival)} of such coupons survive`;
  switch (role) {
    case "confirm":
      return {
        because: "repeats the recommended setting: each repeat confirms or refutes what is claimed of it",
        own: `a chance of ${percent(known.chance)} is claimed`,
      };
    case "part":
      return {
        because: `tells ${partedText(parting?.factors ?? [])}, which moved together in the ${parting?.measured ?? 0} coupons measured`,
        own: `${survival}; ${gain}`,
      };
    case "edge":
      return {
        because: `the chance falls through ${percent(known.level)} about here`,
        own: `chance ${percent(known.chance)}, between ${range} as far as is known; ${gain}`,
      };
    default:
  }
  const physics = physicsOf(model, settings);
  if (model.coupons === 0) {
    return physics === ""
      ? {
          because: "before any coupon, and with no physics for these factors: a setting away from the others",
          own: `${survival} as far as is known`,
        }
      : {
          because:
            "before any coupon, by the physics and one guess at its constants: settings that lay the specified bead",
          own: `${physics}; ${survival} as far as is known`,
        };
  }
  if (role === "explore") {
    return {
      because: "likely to teach: the chance here is hardly known",
      own: `chance ${percent(known.chance)}, between ${range}; ${survival}; ${gain}`,
    };
  }
  return {
    because: "the coupons leave open that the best setting lies about here",
    own: `chance ${percent(known.chance)}, ${range}; ${weakestOf(known)}; ${gain}`,
  };
}

/** A reason in one sentence. */
export const reasonText = ({ because, own }: Reason): string => `${because}: ${own}`;

/** Settings told apart, as a shop says them. */
function partedText(factors: readonly string[]): string {
  const words = factors.map(inWords);
  if (words.length === 2) return `${words[0]} from ${words[1]}`;
  return `${words.slice(0, -1).join(", ")} and ${words.at(-1)} apart`;
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
