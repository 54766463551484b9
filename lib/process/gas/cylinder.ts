import { type Finding, requireNumber } from "../../errors/index.js";
import { findRoot } from "../../numeric/index.js";

/** J/(mol K). */
const GAS_CONSTANT = 8.314462618;
/** g/mol. */
const ARGON_MOLAR_MASS = 39.948;

/** Virial coefficients of argon at two temperatures: K, cm3/mol, cm6/mol2; between them in proportion. */
const VIRIAL = [
  { temperature: 288, second: -17.3, third: 1120 },
  { temperature: 300, second: -15.5, third: 1080 },
] as const;

/**
 * Density of compressed argon from the virial equation, within 0.5 % of NIST at 165 bar and 300 K; for
 * 0 to 40 degC and up to 300 bar.
 *
 *     p = R T rho (1 + B rho + C rho^2)
 *
 * @param pressure - absolute, bar
 * @param temperature - degC
 * @returns kg/m3
 * @source virial form; checked against the NIST Chemistry WebBook
 */
export function argonDensity(pressure: number, temperature: number): number {
  requireNumber("cylinder pressure", pressure, { above: 0, max: 300, unit: "bar" });
  requireNumber("cylinder temperature", temperature, { min: 0, max: 40, unit: "degC" });
  const kelvin = temperature + 273.15;
  const [cold, warm] = VIRIAL;
  const part = (kelvin - cold.temperature) / (warm.temperature - cold.temperature);
  const second = cold.second + part * (warm.second - cold.second);
  const third = cold.third + part * (warm.third - cold.third);
  // mol/cm3; bar cm3 = 0.1 J.
  const thermal = (GAS_CONSTANT * kelvin) / 0.1;
  const excess = (rho: number): number => thermal * rho * (1 + second * rho + third * rho * rho) - pressure;
  const ideal = pressure / thermal;
  return findRoot(excess, 0, 2 * ideal).x * ARGON_MOLAR_MASS * 1000;
}

/**
 * Argon in a cylinder as gas at 15 degC and 1 bar, which is how it is sold.
 *
 * @param volume - water volume, L
 * @param pressure - absolute, bar
 * @param temperature - degC. Default 15
 * @returns m3
 * @example cylinderContent(50, 200) // => 10.69
 */
export function cylinderContent(volume: number, pressure: number, temperature = 15): number {
  requireNumber("cylinder volume", volume, { above: 0, unit: "L" });
  return ((volume / 1000) * argonDensity(pressure, temperature)) / argonDensity(1, 15);
}

/** Pressure to leave in a cylinder so that no air gets in, bar (common practice, 5 to 10). */
const RESIDUAL_PRESSURE = 7;

/**
 * Whether a cylinder lasts for a forecast use with a fifth to spare.
 *
 * @param content - m3 at 15 degC and 1 bar
 * @param needed - m3
 * @param volume - L, water volume, for the residual
 */
export function checkCylinder(content: number, needed: number, volume: number): readonly Finding[] {
  requireNumber("cylinder content", content, { min: 0, unit: "m3" });
  requireNumber("gas needed", needed, { min: 0, unit: "m3" });
  const usable = Math.max(0, content - cylinderContent(volume, RESIDUAL_PRESSURE));
  if (usable >= 1.2 * needed) return [];
  const short = usable < needed;
  return [
    {
      code: short ? "gas-short" : "gas-tight",
      severity: short ? "error" : "warning",
      message: `${usable.toFixed(2)} m3 usable for ${needed.toFixed(2)} m3 needed`,
      advice: "plan a change-over without an arc stop, from a manifold or at a layer end",
    },
  ];
}
