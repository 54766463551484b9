import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

/** Argon at 20 degC and 1 atm: viscosity Pa s, density kg/m3. */
const ARGON_VISCOSITY = 2.23e-5;
const ARGON_DENSITY = 1.66;

/** Reynolds number up to which a jet leaves a cup smoothly. */
const LAMINAR_REYNOLDS = 2000;

/**
 * Bore of a cup by its number: sixteenths of an inch.
 *
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example cupBore(8) // => 12.7
 */
export function cupBore(number: number): number {
  return (requireNumber("cup number", number, { above: 0, max: 32 }) * 25.4) / 16;
}

/**
 * Argon flow above which the jet from a cup turns turbulent and draws in air; a gas lens helps near it.
 *
 *     Q = 2000 pi D mu / (4 rho)
 *
 * @param bore - D, mm
 * @returns L/min
 * @throws {BeadbenchError} `bad-argument` for a bore that cannot be
 * @source pipe flow, Re = 2000, argon at 20 degC
 * @example laminarCeiling(12.7) // => 16.08
 */
export function laminarCeiling(bore: number): number {
  requireBore(bore);
  return (LAMINAR_REYNOLDS * Math.PI * (bore / 1000) * ARGON_VISCOSITY * 60000) / (4 * ARGON_DENSITY);
}

/** How argon leaves a cup. */
export interface CupFlow {
  readonly reynolds: number;
  /** m/s. */
  readonly exitSpeed: number;
}

/**
 * Reynolds number and mean speed of argon leaving a cup.
 *
 * @param flow - L/min
 * @param bore - mm
 * @throws {BeadbenchError} `bad-argument` for a bore or flow that cannot be
 * @example cupFlow(10, 12.7).reynolds // => 1243.82
 */
export function cupFlow(flow: number, bore: number): CupFlow {
  requireSetting("gas_flow", flow);
  requireBore(bore);
  const cubicMetres = flow / 60000;
  const diameter = bore / 1000;
  return {
    reynolds: (4 * ARGON_DENSITY * cubicMetres) / (Math.PI * diameter * ARGON_VISCOSITY),
    exitSpeed: cubicMetres / ((Math.PI * diameter * diameter) / 4),
  };
}

/**
 * Flow per mm of bore that covers the pool, L/min per mm.
 *
 * @example flowPerBore.value // => 0.8
 */
export const flowPerBore: SourcedValue = sourced(
  0.8,
  "L/(min mm)",
  "from memory",
  "common practice",
  [0.6, 1],
);

/**
 * Whether a flow covers the pool and leaves the cup smoothly.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkCupFlow(18, 12.7).map(({ code }) => code) // => ["gas-turbulent"]
 */
export function checkCupFlow(flow: number, bore: number): readonly Finding[] {
  requireSetting("gas_flow", flow);
  const ceiling = laminarCeiling(bore);
  const least = flowPerBore.range![0] * bore;
  if (flow > ceiling) {
    return [
      {
        code: "gas-turbulent",
        severity: "warning",
        message: `${fixed(flow, 1)} L/min from a ${fixed(bore, 1)} mm cup is turbulent (above ${fixed(ceiling, 1)} L/min) and draws in air`,
        advice: "less flow, a wider cup, or a gas lens",
      },
    ];
  }
  if (flow < least) {
    return [
      {
        code: "gas-thin",
        severity: "warning",
        message: `${fixed(flow, 1)} L/min is thin for a ${fixed(bore, 1)} mm cup (from ${fixed(least, 1)} L/min)`,
        advice: "more flow, or a narrower cup",
      },
    ];
  }
  return [];
}

function requireBore(bore: number): number {
  return requireNumber("cup bore", bore, { min: 2, max: 50, unit: "mm" });
}
