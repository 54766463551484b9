import { requireNumber } from "../../errors/index.js";

/**
 * Specific heat of carbon steel; the peak near 735 degC is the change of structure.
 *
 *     425 + 0.773 T - 1.69e-3 T^2 + 2.22e-6 T^3 to 600, then three further branches
 *
 * @param temperature - degC, 20 to 1200
 * @returns J/(kg K)
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source EN 1993-1-2, 3.4.1.2
 * @example carbonSteelSpecificHeat(400) // => 605.88
 */
export function carbonSteelSpecificHeat(temperature: number): number {
  const t = requireNumber("steel temperature", temperature, { min: 20, max: 1200, unit: "degC" });
  if (t < 600) return 425 + 0.773 * t - 1.69e-3 * t * t + 2.22e-6 * t ** 3;
  if (t < 735) return 666 + 13002 / (738 - t);
  if (t < 900) return 545 + 17820 / (t - 731);
  return 650;
}

/**
 * Conductivity of carbon steel.
 *
 *     0.054 - 3.33e-5 T to 800, 0.0273 above
 *
 * @param temperature - degC, 20 to 1200
 * @returns W/(mm K)
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source EN 1993-1-2, 3.4.1.3, from memory
 * @example carbonSteelConductivity(400) // => 0.04068
 */
export function carbonSteelConductivity(temperature: number): number {
  const t = requireNumber("steel temperature", temperature, { min: 20, max: 1200, unit: "degC" });
  return t < 800 ? 0.054 - 3.33e-5 * t : 0.0273;
}

/**
 * Conductivity of austenitic stainless steel, 0.0146 + 1.27e-5 T.
 *
 * @param temperature - degC, 20 to 1200
 * @returns W/(mm K)
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source EN 1993-1-2 annex C, from memory
 * @example austeniticConductivity(1000) // => 0.0273
 */
export function austeniticConductivity(temperature: number): number {
  const t = requireNumber("steel temperature", temperature, { min: 20, max: 1200, unit: "degC" });
  return 0.0146 + 1.27e-5 * t;
}
