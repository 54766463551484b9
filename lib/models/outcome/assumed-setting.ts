import type { Finding } from "../../errors/index.js";
import { fixed } from "../../numeric/index.js";
import { currentForFeed, meltingCoefficients, scaleMelting } from "../../process/index.js";
import { arcVoltageOrTypical, type RigPhysics } from "../physical/index.js";
import type { Priors } from "../priors/index.js";
import { type Affine, combine } from "./affine.js";

/** ln of a setting that a study does not tell, taken from what is usual, and the word on it. */
export interface AssumedSetting {
  readonly log: Affine;
  readonly finding: Finding;
}

/** A number that is the same at every setting. */
type Flat = (value: number) => Affine;

/** Diameter the published melting coefficients are for, mm. */
const PUBLISHED_DIAMETER = 1.2;

/** What the melting of a consumable electrode follows from: ln of its diameter and feed, and its metal. */
export interface MeltingWire {
  readonly diameter: Affine;
  readonly feed: Affine;
  readonly light: boolean;
  /** mm. */
  readonly extension: number;
}

/**
 * The current that melts the wire fed, a power law through the feed in the middle of the ranges.
 *
 * @source melting of a consumable electrode: Lesnewich 1958, Halmoy 1979, constants from memory
 */
export function meltingCurrent({ diameter, feed, light, extension }: MeltingWire): AssumedSetting {
  const { alpha, beta } = meltingCoefficients[light ? "aluminium" : "steel"];
  const published = { alpha: alpha.value, beta: beta.value };
  const law = scaleMelting(published, PUBLISHED_DIAMETER, Math.exp(diameter.constant));
  const at = (factor: number): number =>
    Math.log(currentForFeed(law, Math.exp(feed.constant) * factor, extension));
  const slope = (at(1.1) - at(1 / 1.1)) / (2 * Math.log(1.1));
  return {
    log: combine([[slope, feed]], at(1) - slope * feed.constant),
    finding: assumed("current", "the current that melts the wire fed (Lesnewich 1958, from memory)"),
  };
}

/** The current of an arc that nothing tells. */
export function usualCurrent({ arc_current: amperes }: Priors, flat: Flat): AssumedSetting {
  return { log: flat(amperes), finding: assumed("current", `${amperes} A`) };
}

/** The power of a beam that nothing tells. */
export function usualPower({ beam_power: watts }: Priors, flat: Flat): AssumedSetting {
  return { log: flat(watts), finding: assumed("power", `${watts} W`) };
}

/** The voltage typical of the process at a current, A. */
export function typicalVoltage(physics: RigPhysics, current: number, flat: Flat): AssumedSetting {
  const volts = arcVoltageOrTypical(physics, { current });
  return {
    log: flat(volts),
    finding: assumed("arc_voltage", `${fixed(volts, 1)} V, typical of the process`),
  };
}

function assumed(name: string, what: string): Finding {
  return {
    code: "setting-assumed",
    severity: "info",
    message: `${name} is neither a factor nor under rig.settings; the physics takes ${what}`,
    advice: `add ${name} to rig.settings in study.json when you know it; coupons correct the models either way`,
    about: [name],
  };
}
