import { requireNumber } from "../../errors/index.js";
import { netPower } from "../arc/index.js";
import { requireSetting, type SourcedValue, sourced, standardGravity } from "../handbook/index.js";
import { depositedVolumeRate, wireArea } from "./mass-balance.js";

/** What the melting enthalpy of a wire is made of. */
export interface MeltingData {
  /** rho, g/cm3. */
  readonly density: number;
  /** Mean specific heat from room to melt, J/(kg K). */
  readonly meanSpecificHeat: number;
  /** Temperature the wire is melted at, degC. */
  readonly meltTemperature: number;
  /** L_f, kJ/kg. */
  readonly latentHeat: number;
}

/**
 * Heat that melts one cubic millimetre of wire.
 *
 *     H_m = rho (c_mean (T_liq - T_0) + L_f)
 *
 * Superheat of the pool is not counted.
 *
 * @param startTemperature - T_0, degC. Default 20
 * @returns J/mm3
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example meltingEnthalpy({ density: 7.85, meanSpecificHeat: 680, meltTemperature: 1500, latentHeat: 270 }) // => 10.01974
 */
export function meltingEnthalpy(data: MeltingData, startTemperature = 20): number {
  requireNumber("density", data.density, { min: 0.5, max: 25, unit: "g/cm3" });
  requireNumber("mean specific heat", data.meanSpecificHeat, { above: 0, unit: "J/(kg K)" });
  requireNumber("latent heat", data.latentHeat, { min: 0, unit: "kJ/kg" });
  requireNumber("wire temperature", startTemperature, { below: data.meltTemperature, unit: "degC" });
  const sensible = data.meanSpecificHeat * (data.meltTemperature - startTemperature);
  return data.density * 1e-6 * (sensible + 1000 * data.latentHeat);
}

/** A cold wire fed into a pool. */
export interface ColdWireSetting {
  /** d, mm. */
  readonly wireDiameter: number;
  /** f, mm/s. */
  readonly wireFeedSpeed: number;
  /** H_m, J/mm3, from {@link meltingEnthalpy}. */
  readonly enthalpy: number;
}

/** The arc that has to melt it. */
export interface ArcSetting {
  /** V. */
  readonly voltage: number;
  /** A. */
  readonly current: number;
  /** Physical arc efficiency. */
  readonly efficiency: number;
}

/**
 * Power the wire takes to melt.
 *
 *     P_w = A_w f H_m
 *
 * @returns W
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example wireLoad({ wireDiameter: 1.2, wireFeedSpeed: 20, enthalpy: 10.5 }) // => 237.50
 */
export function wireLoad(wire: ColdWireSetting): number {
  requireNumber("melting enthalpy", wire.enthalpy, { above: 0, unit: "J/mm3" });
  return depositedVolumeRate(wire) * wire.enthalpy;
}

/**
 * Share of the net arc power spent on melting wire. Near the rig's own ceiling
 * ({@link wireShareCeiling}) the wire stubs into the pool floor.
 *
 *     S = P_w / (eta U I)
 *
 * @example wireShare({ wireDiameter: 1.2, wireFeedSpeed: 20, enthalpy: 10.5 }, { voltage: 12, current: 150, efficiency: 0.67 }) // => 0.1969
 */
export function wireShare(wire: ColdWireSetting, arc: ArcSetting): number {
  return wireLoad(wire) / netPower(arc.voltage, arc.current, arc.efficiency);
}

/** Share of net arc power above which cold wire stubs; fit it from the rig's own stubbing. */
export const wireShareCeiling: Readonly<Record<"onPlate" | "onHotWall", SourcedValue>> = {
  onPlate: sourced(0.25, "1", "from memory", "useful window for cold wire on plate", [0.2, 0.3]),
  onHotWall: sourced(0.35, "1", "from memory", "useful window for cold wire on a hot thin wall", [0.3, 0.4]),
};

/**
 * Largest cold-wire feed for a share of the arc's net power.
 *
 *     f_max = S_max eta U I / (A_w H_m)
 *
 * @param wire - diameter (mm) and melting enthalpy (J/mm3)
 * @param share - S_max. Default the memory value for plate, 0.25
 * @returns mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example feedCeiling({ wireDiameter: 1.2, enthalpy: 10.5 }, { voltage: 12, current: 150, efficiency: 0.67 }) // => 25.389
 */
export function feedCeiling(
  wire: Omit<ColdWireSetting, "wireFeedSpeed">,
  arc: ArcSetting,
  share: number = wireShareCeiling.onPlate.value,
): number {
  requireNumber("largest wire share", share, { above: 0, below: 1 });
  requireNumber("melting enthalpy", wire.enthalpy, { above: 0, unit: "J/mm3" });
  return (
    (share * netPower(arc.voltage, arc.current, arc.efficiency)) /
    (wireArea(wire.wireDiameter) * wire.enthalpy)
  );
}

/** How drops cross a gap between wire tip and pool. */
export interface DropBridging {
  /** Time between drops, s. */
  readonly period: number;
  /** Distance between drops along the bead, mm. */
  readonly pitch: number;
}

/**
 * Drops that bridge a gap g when each grows to about the gap before it touches the pool.
 *
 *     T = pi g^3 / (6 A_w f), pitch = v T
 *
 * A pitch above a fifth of the pool length gives a lumpy bead.
 *
 * @param gap - g, mm between wire tip and pool
 * @param travelSpeed - v, mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source geometry; drop size about the gap
 * @example dropBridging(2, { wireDiameter: 1.2, wireFeedSpeed: 20 }, 3).pitch // => 0.555556
 */
export function dropBridging(
  gap: number,
  wire: { readonly wireDiameter: number; readonly wireFeedSpeed: number },
  travelSpeed: number,
): DropBridging {
  requireNumber("gap between wire tip and pool", gap, { above: 0, max: 20, unit: "mm" });
  requireSetting("travel_speed", travelSpeed);
  const period = (Math.PI * gap ** 3) / (6 * depositedVolumeRate(wire));
  return { period, pitch: travelSpeed * period };
}

/**
 * Largest drop that hangs from a wire: above such a gap drops always fall free.
 *
 *     (12 r gamma / (rho g))^(1/3)
 *
 * @param surfaceTension - gamma, N/m
 * @param density - rho of the liquid, g/cm3
 * @returns diameter, mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source Tate's law
 * @example hangingDropDiameter(1.2, 1.7, 7) // => 5.628
 */
export function hangingDropDiameter(wireDiameter: number, surfaceTension: number, density: number): number {
  requireSetting("wire_diameter", wireDiameter);
  requireNumber("surface tension", surfaceTension, { above: 0, unit: "N/m" });
  requireNumber("density", density, { above: 0, unit: "g/cm3" });
  const cubicMetres = (12 * (wireDiameter / 2000) * surfaceTension) / (density * 1000 * standardGravity);
  return 1000 * Math.cbrt(cubicMetres);
}
