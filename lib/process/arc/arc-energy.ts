import { requireNumber } from "../../errors/index.js";
import type { ArcProcess } from "../handbook/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

const nominal = (value: number): SourcedValue =>
  sourced(value, "1", "verified", "EN 1011-1 / ISO/TR 17671-1 factor k, relative to submerged arc");

/**
 * Code bookkeeping: the factor k that turns arc energy into the heat input a procedure sheet states.
 * Relative to submerged arc, hence no calorimetry: never use it in a thermal model.
 */
export const nominalEfficiencies: Readonly<Record<ArcProcess, SourcedValue>> = {
  tig: nominal(0.6),
  plasma: nominal(0.6),
  "mig-mag": nominal(0.8),
  "flux-cored": nominal(0.8),
  "manual-metal-arc": nominal(0.8),
  "submerged-arc": nominal(1),
};

const dupont = "DuPont and Marder, Welding Journal 74 (1995) 406s, calorimeter";

/**
 * Measured share of arc power that reaches the part, for thermal models. For TIG a review of 1955-2011
 * finds 0.36 to 0.90 published, 0.73 to 0.82 plausible, falling as the arc lengthens
 * (Stenbacka, Choquet and Hurtig, IIW 2012).
 */
export const physicalEfficiencies: Readonly<Record<ArcProcess, SourcedValue>> = {
  tig: sourced(0.67, "1", "verified", dupont, [0.36, 0.9]),
  plasma: sourced(0.47, "1", "verified", dupont),
  "mig-mag": sourced(0.84, "1", "verified", dupont),
  "flux-cored": sourced(0.84, "1", "verified", `${dupont} (consumable electrode)`),
  "manual-metal-arc": sourced(0.84, "1", "verified", `${dupont} (consumable electrode)`),
  "submerged-arc": sourced(0.84, "1", "verified", `${dupont} (consumable electrode)`),
};

/**
 * Electrical energy of the arc per length of bead.
 *
 *     E = U I / v
 *
 * Mean meter readings mislead on pulsed, alternating and short-circuit arcs, up to about 30 % either
 * way: take {@link waveformArcEnergy} there. Power fed into a hot wire is not counted.
 *
 * @param voltage - U, V, at the torch
 * @param current - I, A
 * @param travelSpeed - v, mm/s
 * @returns E, J/mm
 * @throws {BeadbenchError} when no rig could run the setting
 * @source EN 1011-1:2009; ISO/TR 18491:2015
 * @example arcEnergy(12, 150, 3) // => 600
 */
export function arcEnergy(voltage: number, current: number, travelSpeed: number): number {
  requireSetting("arc_voltage", voltage);
  requireSetting("current", current);
  requireSetting("travel_speed", travelSpeed);
  return (voltage * current) / travelSpeed;
}

/**
 * Heat brought into the part per length of bead.
 *
 *     Q = k E
 *
 * @param energy - E, J/mm
 * @param efficiency - k: {@link nominalEfficiencies} for a procedure sheet, {@link physicalEfficiencies} for a thermal model
 * @returns Q, J/mm
 * @throws {BeadbenchError} when the energy is negative or k is not above 0 and at most 1
 * @source EN 1011-1:2009
 * @example heatInput(600, 0.6) // => 360
 */
export function heatInput(energy: number, efficiency: number): number {
  requireNumber("arc energy", energy, { min: 0, unit: "J/mm" });
  return energy * requireEfficiency(efficiency);
}

/**
 * Power that reaches the part.
 *
 *     q = eta U I
 *
 * @returns q, W
 * @throws {BeadbenchError} when no rig could run the setting
 * @example netPower(12, 150, 0.67) // => 1206
 */
export function netPower(voltage: number, current: number, efficiency: number): number {
  requireSetting("arc_voltage", voltage);
  requireSetting("current", current);
  return requireEfficiency(efficiency) * voltage * current;
}

/** Checks an arc efficiency: above 0, at most 1. */
export function requireEfficiency(efficiency: number): number {
  return requireNumber("arc efficiency (a share, 0.67 for 67 %)", efficiency, { above: 0, max: 1 });
}

const conventional: Readonly<Partial<Record<ArcProcess, readonly [number, number]>>> = {
  tig: [10, 0.04],
  plasma: [10, 0.04],
  "mig-mag": [14, 0.05],
  "flux-cored": [14, 0.05],
  "manual-metal-arc": [20, 0.04],
};

/**
 * Conventional load voltage, by which power sources are rated. A real argon TIG arc usually shows less.
 *
 * @returns V, or undefined for a process without such a line
 * @source IEC 60974-1
 * @example conventionalVoltage("tig", 150) // => 16
 */
export function conventionalVoltage(process: ArcProcess, current: number): number | undefined {
  requireSetting("current", current);
  const line = conventional[process];
  return line === undefined ? undefined : line[0] + line[1] * current;
}
