import { requireNumber } from "../../errors/index.js";
import { findRoot } from "../../numeric/roots/index.js";

/** J/(mol K), as in the paper. */
const GAS_CONSTANT = 8.31451;
/** g/mol. */
const MOLAR_MASS = 39.948;
/** K and kg/m3 of the critical point, by which the equation is reduced. */
const CRITICAL = { temperature: 150.687, density: 535.6 } as const;

/** One term n delta^d tau^t exp(-delta^c) of the residual Helmholtz energy; without c, no exponential. */
interface Term {
  readonly n: number;
  readonly d: number;
  readonly t: number;
  readonly c?: number;
}

/** Argon's twelve terms, Span and Wagner (2003). */
const TERMS: readonly Term[] = [
  { n: 0.85095715, d: 1, t: 0.25 },
  { n: -2.4003223, d: 1, t: 1.125 },
  { n: 0.54127841, d: 1, t: 1.5 },
  { n: 0.016919771, d: 2, t: 1.375 },
  { n: 0.068825965, d: 3, t: 0.25 },
  { n: 0.00021428033, d: 7, t: 0.875 },
  { n: 0.17429895, d: 2, t: 0.625, c: 1 },
  { n: -0.033654496, d: 5, t: 1.75, c: 1 },
  { n: -0.135268, d: 1, t: 3.625, c: 2 },
  { n: -0.016387351, d: 4, t: 3.625, c: 2 },
  { n: -0.024987667, d: 3, t: 14.5, c: 3 },
  { n: 0.0088769205, d: 4, t: 12, c: 3 },
];

/** Compressibility p / (rho R T) = 1 + delta d(alpha)/d(delta), the residual Helmholtz energy being a sum of terms. */
function compressibility(delta: number, tau: number): number {
  return TERMS.reduce((sum, { n, d, t, c }) => {
    const power = n * delta ** d * tau ** t;
    return sum + (c === undefined ? power * d : power * Math.exp(-(delta ** c)) * (d - c * delta ** c));
  }, 1);
}

/**
 * Density of argon gas, from a cylinder's pressure to the room's, by the short equation of state in the Helmholtz
 * energy, within 0.3 % of the reference equation for -40 to 80 degC and up to 400 bar (a 300 bar cylinder left in
 * the sun).
 *
 *     p = rho R T (1 + delta d(alpha_r)/d(delta)),  delta = rho/rho_c,  tau = T_c/T
 *
 * @param pressure - absolute, bar
 * @param temperature - degC
 * @returns kg/m3
 * @throws {BeadbenchError} `bad-argument` outside these ranges
 * @source R. Span, W. Wagner, Equations of state for technical applications II, Int. J. Thermophys. 24 (2003) 41-109;
 *   its reference: Tegeler, Span, Wagner, J. Phys. Chem. Ref. Data 28 (1999) 779-850, as in the NIST Chemistry WebBook
 */
export function argonDensity(pressure: number, temperature: number): number {
  requireNumber("cylinder pressure", pressure, { above: 0, max: 400, unit: "bar" });
  requireNumber("cylinder temperature", temperature, { min: -40, max: 80, unit: "degC" });
  const kelvin = temperature + 273.15;
  const tau = CRITICAL.temperature / kelvin;
  // Pa of an ideal gas per kg/m3.
  const ideal = (GAS_CONSTANT * kelvin * 1000) / MOLAR_MASS;
  const excess = (density: number): number =>
    density * ideal * compressibility(density / CRITICAL.density, tau) - pressure * 1e5;
  // Within the ranges the compressibility stays above 0.7: twice the ideal density lies beyond the root.
  return findRoot({ f: excess, lower: 0, upper: (2 * pressure * 1e5) / ideal }).x;
}
