import { requireNumber } from "../../errors/index.js";
import {
  type ArcProcess,
  arcOf,
  type ProcessFamily,
  processFacts,
  processFamilies,
  requireSetting,
  type SourcedValue,
} from "../handbook/index.js";

const byFamily = <F extends ProcessFamily>(
  families: readonly F[],
  value: (family: F) => SourcedValue,
): Readonly<Record<F, SourcedValue>> =>
  Object.fromEntries(families.map((family) => [family, value(family)])) as Record<F, SourcedValue>;
const arcs = processFamilies.filter((family): family is ArcProcess => arcOf(family) !== undefined);

/**
 * Code bookkeeping: the factor k that turns arc energy into the heat input a procedure sheet states.
 * Relative to submerged arc, hence no calorimetry: never use it in a thermal model.
 *
 * @example nominalEfficiencies.tig.value // => 0.6
 */
export const nominalEfficiencies = byFamily(arcs, (family) => arcOf(family)!.nominalEfficiency);

/** Share of the power that reaches the part, for thermal models: see {@link processes}. */
export const physicalEfficiencies = byFamily(processFamilies, (family) => processFacts(family).efficiency);

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
 * Energy of a beam per length of bead.
 *
 *     E = P / v
 *
 * @param power - P, W, at the part, before absorption
 * @param travelSpeed - v, mm/s
 * @returns E, J/mm
 * @throws {BeadbenchError} when no rig could run the setting
 * @example beamEnergy(3000, 10) // => 300
 */
export function beamEnergy(power: number, travelSpeed: number): number {
  requireSetting("power", power);
  requireSetting("travel_speed", travelSpeed);
  return power / travelSpeed;
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

/**
 * Conventional load voltage, by which power sources are rated. A real argon TIG arc usually shows less.
 *
 * @returns V, or undefined for a process without such a line
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source IEC 60974-1
 * @example conventionalVoltage("tig", 150) // => 16
 */
export function conventionalVoltage(process: ProcessFamily, current: number): number | undefined {
  requireSetting("current", current);
  const line = arcOf(process)?.conventional;
  return line === undefined ? undefined : line[0] + line[1] * current;
}
