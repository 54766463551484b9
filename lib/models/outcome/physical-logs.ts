import type { Finding } from "../../errors/index.js";
import { onlyDefined } from "../../errors/index.js";
import { processFacts, wireArea } from "../../process/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { type RigPhysics, rigPhysics } from "../physical/index.js";
import type { Priors } from "../priors/index.js";
import { type Affine, combine } from "./affine.js";
import {
  type AssumedSetting,
  meltingCurrent,
  typicalVoltage,
  usualCurrent,
  usualPower,
} from "./assumed-setting.js";
import type { Coordinate } from "./coordinates.js";
import { constantLog, settingLogs } from "./setting-logs.js";

/** Logarithms of physical quantities (A, V, mm/s, mm, J/mm, mm2) as functions of the axes. */
export interface PhysicalLogs {
  /** Of an arc, A; of a beam its power, W, and the voltage is then 1, so that their product is the power of either. */
  readonly current: Affine;
  readonly voltage: Affine;
  readonly travel: Affine;
  readonly feed: Affine;
  /** Distance from torch to work, when a factor sets it. */
  readonly standoff?: Affine;
  /** Arc energy U I / v. */
  readonly energy: Affine;
  /** Metal laid down per length, phi A_w f / v. */
  readonly area: Affine;
  /** Share of net arc power that melting the wire takes. */
  readonly share: Affine;
  /** Whether current and feed are tied by the melting of a consumable electrode. */
  readonly currentFromFeed: boolean;
  /** Whether the wire is the electrode. */
  readonly consumable: boolean;
  /** How well the efficiency is known beyond what is usual: standard deviation of its logarithm. */
  readonly efficiencyDoubt: number;
  readonly physics: RigPhysics;
  readonly findings: readonly Finding[];
}

/** What the physics of a study follows from. */
export interface PhysicalLogsParts {
  readonly definition: StudyDefinition;
  readonly coordinates: readonly Coordinate[];
  /** What was logged beside them tells settings that no factor sets. */
  readonly coupons: readonly Coupon[];
  readonly priors: Priors;
}

/**
 * Finds the physical quantities behind a study's factors, its constants and what was logged beside them.
 *
 * @returns undefined when travel speed or wire feed are no settings of the study: the models then work on
 *   the raw settings
 */
export function physicalLogs({
  definition,
  coordinates,
  coupons,
  priors,
}: PhysicalLogsParts): PhysicalLogs | undefined {
  const physics = rigPhysics({ definition });
  const known = settingLogs(definition, coordinates, coupons);
  const flat = (value: number): Affine => constantLog(coordinates, value);
  const travel = known("travel_speed");
  const feed = known("wire_feed_speed");
  if (travel === undefined || feed === undefined) return undefined;
  const diameter = known("wire_diameter")!;
  const standoff = known("standoff") ?? known("contact_tip_distance") ?? known("stickout");
  const { wire, efficiencyDoubt } = processFacts(physics.process);
  const consumable = wire === "electrode";
  const beam = physics.source === "beam";
  const ownEfficiency = physics.efficiency.basis === "user";
  const assumed: AssumedSetting[] = [];
  const take = (own: Affine | undefined, usual: () => AssumedSetting): Affine => {
    if (own !== undefined) return own;
    assumed.push(usual());
    return assumed.at(-1)!.log;
  };
  const ownCurrent = known(beam ? "power" : "current");
  const current = take(ownCurrent, () => {
    if (beam) return usualPower(priors, flat);
    if (!consumable) return usualCurrent(priors, flat);
    return meltingCurrent({ diameter, feed, light: isLight(physics), extension: priors.electrode_extension });
  });
  const voltage = beam
    ? flat(1)
    : take(known("arc_voltage"), () => typicalVoltage(physics, Math.exp(current.constant), flat));
  return {
    current,
    voltage,
    travel,
    feed,
    ...onlyDefined({ standoff }),
    ...derivedLogs({ current, voltage, travel, feed, diameter }, physics),
    currentFromFeed: ownCurrent === undefined && consumable,
    consumable,
    efficiencyDoubt: ownEfficiency ? 0 : efficiencyDoubt,
    physics,
    findings: [
      ...assumed.map(({ finding }) => finding),
      ...(beam && !ownEfficiency ? [unsureEfficiency(physics)] : []),
    ],
  };
}

type SettingsKnown = Pick<PhysicalLogs, "current" | "voltage" | "travel" | "feed"> & {
  readonly diameter: Affine;
};

/** What follows from several settings. */
function derivedLogs(
  { current, voltage, travel, feed, diameter }: SettingsKnown,
  physics: RigPhysics,
): Pick<PhysicalLogs, "energy" | "area" | "share"> {
  const section = combine([[2, diameter]], Math.log(wireArea(1)));
  return {
    energy: combine([
      [1, voltage],
      [1, current],
      [-1, travel],
    ]),
    area: combine(
      [
        [1, section],
        [1, feed],
        [-1, travel],
      ],
      Math.log(physics.depositionEfficiency.value),
    ),
    share: combine(
      [
        [1, section],
        [1, feed],
        [-1, voltage],
        [-1, current],
      ],
      Math.log(physics.wireEnthalpy.value / physics.efficiency.value),
    ),
  };
}

function unsureEfficiency({ efficiency: { value, range, source } }: RigPhysics): Finding {
  return {
    code: "efficiency-unsure",
    severity: "info",
    message: `the share of the beam's power that heats the part is taken as ${value}${range === undefined ? "" : `, between ${range[0]} and ${range[1]}`} (${source})`,
    advice: "write a measured one under rig.efficiency; until then expect the first coupons to correct it",
    about: ["efficiency"],
  };
}

/** Whether the wire is a light metal: aluminium, by its density (g/cm3). */
export function isLight(physics: RigPhysics): boolean {
  return physics.wireDensity.value < 4;
}
