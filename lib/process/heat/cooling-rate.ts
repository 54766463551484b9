import { requireNumber } from "../../errors/index.js";

/** A bead on a plate, for its cooling on the centreline. */
export interface CoolingBead {
  /** Q, J/mm, with the physical efficiency. */
  readonly heatInput: number;
  /** g, mm. */
  readonly thickness: number;
  /** k, W/(mm K). */
  readonly conductivity: number;
  /** rho c, J/(mm3 K). */
  readonly volumetricHeat: number;
  /** T0, degC. */
  readonly startTemperature: number;
}

/** Cooling on the centreline as it passes a temperature. */
export interface CoolingRate {
  /** Of the formula that governs, K/s. */
  readonly rate: number;
  readonly regime: "thick" | "thin";
  readonly thick: number;
  readonly thin: number;
  /** tau; thick above 0.9, thin below 0.6, in between neither formula is good. */
  readonly relativeThickness: number;
}

/** Relative thickness at which thick and thin formulas change places. */
const SWITCH = 0.75;

/**
 * Cooling rate of the bead as it passes a temperature.
 *
 *     thick 2 pi k (Tc - T0)^2/Q, thin 2 pi k rho c (g/Q)^2 (Tc - T0)^3,
 *     tau = g sqrt(rho c (Tc - T0)/Q), switched at 0.75
 *
 * @param temperature - Tc, degC, above the start
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source AWS Welding Handbook vol. 1, heat flow chapter
 * @example coolingRate({ heatInput: 720, thickness: 5, volumetricHeat: 0.0044, startTemperature: 25, conductivity: 0.028 }, 550).thin // => 5.40186
 */
export function coolingRate(bead: CoolingBead, temperature: number): CoolingRate {
  requireNumber("heat input", bead.heatInput, { above: 0, unit: "J/mm" });
  requireNumber("plate thickness", bead.thickness, { above: 0, unit: "mm" });
  requireNumber("conductivity", bead.conductivity, { above: 0, unit: "W/(mm K)" });
  requireNumber("volumetric heat", bead.volumetricHeat, { above: 0, unit: "J/(mm3 K)" });
  requireNumber("temperature passed", temperature, { above: bead.startTemperature, unit: "degC" });
  const rise = temperature - bead.startTemperature;
  const k2 = 2 * Math.PI * bead.conductivity;
  const thick = (k2 * rise ** 2) / bead.heatInput;
  const thin = k2 * bead.volumetricHeat * (bead.thickness / bead.heatInput) ** 2 * rise ** 3;
  const relativeThickness = bead.thickness * Math.sqrt((bead.volumetricHeat * rise) / bead.heatInput);
  const regime = relativeThickness > SWITCH ? "thick" : "thin";
  return { rate: regime === "thick" ? thick : thin, regime, thick, thin, relativeThickness };
}

/**
 * Time the centreline of a pool on a thick plate takes to solidify.
 *
 *     t_s = L Q / (2 pi k rho c (Tm - T0)^2)
 *
 * @param latentHeat - L, J/mm3 (steel about 2)
 * @param meltTemperature - Tm, degC
 * @returns s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source AWS Welding Handbook vol. 1, heat flow chapter
 * @example solidificationTime({ heatInput: 800, conductivity: 0.028, volumetricHeat: 0.0044, startTemperature: 25 }, 2, 1510) // => 0.937295
 */
export function solidificationTime(
  bead: Omit<CoolingBead, "thickness">,
  latentHeat: number,
  meltTemperature: number,
): number {
  requireNumber("heat input", bead.heatInput, { above: 0, unit: "J/mm" });
  requireNumber("latent heat per volume", latentHeat, { above: 0, max: 10, unit: "J/mm3" });
  requireNumber("melt temperature", meltTemperature, { above: bead.startTemperature, unit: "degC" });
  const rise = meltTemperature - bead.startTemperature;
  return (latentHeat * bead.heatInput) / (2 * Math.PI * bead.conductivity * bead.volumetricHeat * rise ** 2);
}
