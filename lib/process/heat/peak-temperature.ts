import { requireNumber } from "../../errors/index.js";

/** A bead on a plate hot through: what the peak-temperature rule needs. */
export interface ThinPlateHeat {
  /** Q, J/mm. */
  readonly heatInput: number;
  /** g, mm. */
  readonly thickness: number;
  /** rho c, J/(mm3 K). */
  readonly volumetricHeat: number;
  /** T0, degC. */
  readonly startTemperature: number;
  /** Tm, degC. */
  readonly meltTemperature: number;
}

const SQRT_2_PI_E = Math.sqrt(2 * Math.PI * Math.E);

/**
 * Peak temperature at a distance from the edge of the melted zone.
 *
 *     1/(Tp - T0) = sqrt(2 pi e) rho c g Y/Q + 1/(Tm - T0)
 *
 * Plates hot through only; not within the melted zone.
 *
 * @param distance - Y, mm from the melted zone's edge
 * @returns degC
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source AWS Welding Handbook vol. 1, heat flow chapter
 * @example peakTemperature({ heatInput: 720, thickness: 5, volumetricHeat: 0.0044, startTemperature: 25, meltTemperature: 1510 }, 1.5) // => 1183.99
 */
export function peakTemperature(heat: ThinPlateHeat, distance: number): number {
  requireNumber("distance from the melted zone", distance, { min: 0, unit: "mm" });
  return heat.startTemperature + 1 / (slope(heat) * distance + meltTerm(heat));
}

/**
 * Distance from the melted zone's edge at which a peak temperature is reached: how wide the heated zone is.
 *
 * @param temperature - degC, between start and melt
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source AWS Welding Handbook vol. 1, heat flow chapter
 * @example heatedZoneWidth({ heatInput: 720, thickness: 5, volumetricHeat: 0.0044, startTemperature: 25, meltTemperature: 1510 }, 730) // => 5.9
 */
export function heatedZoneWidth(heat: ThinPlateHeat, temperature: number): number {
  requireNumber("peak temperature", temperature, {
    above: heat.startTemperature,
    max: heat.meltTemperature,
    unit: "degC",
  });
  return (1 / (temperature - heat.startTemperature) - meltTerm(heat)) / slope(heat);
}

function slope(heat: ThinPlateHeat): number {
  requireNumber("heat input", heat.heatInput, { above: 0, unit: "J/mm" });
  requireNumber("plate thickness", heat.thickness, { above: 0, unit: "mm" });
  requireNumber("volumetric heat", heat.volumetricHeat, { above: 0, unit: "J/(mm3 K)" });
  return (SQRT_2_PI_E * heat.volumetricHeat * heat.thickness) / heat.heatInput;
}

function meltTerm(heat: ThinPlateHeat): number {
  requireNumber("melt temperature", heat.meltTemperature, { above: heat.startTemperature, unit: "degC" });
  return 1 / (heat.meltTemperature - heat.startTemperature);
}
