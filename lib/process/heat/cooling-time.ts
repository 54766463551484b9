import { type Finding, requireNumber } from "../../errors/index.js";
import { type SourcedValue, sourced } from "../handbook/index.js";
import type { AlloyFamily } from "../material/index.js";

/** Bead on a low-alloy steel plate. */
export interface CoolingTimeBead {
  /** Q, J/mm, with the nominal efficiency k of the process. */
  readonly heatInput: number;
  /** d, mm. */
  readonly thickness: number;
  /** T0, degC: preheat or interpass. */
  readonly startTemperature: number;
  /** Shape factors of joint and heat flow; from {@link shapeFactors}. Default a run on plate. */
  readonly factors?: { readonly twoDimensional: number; readonly threeDimensional: number };
}

/** Time from 800 to 500 degC. */
export interface CoolingTime {
  /** s, of the formula that governs. */
  readonly seconds: number;
  readonly regime: "two-dimensional" | "three-dimensional";
  readonly twoDimensional: number;
  readonly threeDimensional: number;
  /** Plate thickness at which both formulas agree, mm. */
  readonly transitionThickness: number;
}

const annexD = "EN 1011-2 Annex D shape factors";

/**
 * Shape factors by joint: F2 for two-dimensional, F3 for three-dimensional heat flow.
 *
 * @example shapeFactors.teeFillet.threeDimensional.value // => 0.67
 */
export const shapeFactors: Readonly<
  Record<
    "runOnPlate" | "betweenRunsOfButt" | "cornerFillet" | "teeFillet",
    Readonly<Record<"twoDimensional" | "threeDimensional", SourcedValue>>
  >
> = {
  runOnPlate: {
    twoDimensional: sourced(1, "1", "verified", annexD),
    threeDimensional: sourced(1, "1", "verified", annexD),
  },
  betweenRunsOfButt: {
    twoDimensional: sourced(0.9, "1", "from memory", annexD),
    threeDimensional: sourced(0.9, "1", "from memory", annexD),
  },
  cornerFillet: {
    twoDimensional: sourced(0.9, "1", "from memory", annexD),
    threeDimensional: sourced(0.67, "1", "from memory", annexD),
  },
  teeFillet: {
    twoDimensional: sourced(0.56, "1", "from memory", annexD, [0.45, 0.67]),
    threeDimensional: sourced(0.67, "1", "from memory", annexD),
  },
};

/**
 * Time the bead takes from 800 to 500 degC, which sets the hardness of low-alloy steel.
 *
 *     2-D (4300 - 4.3 T0) 1e5 (Q/d)^2 [1/(500 - T0)^2 - 1/(800 - T0)^2] F2
 *     3-D (6700 - 5 T0) Q [1/(500 - T0) - 1/(800 - T0)] F3, Q in kJ/mm; the larger one governs
 *
 * Low-alloy steel only, and plates: the top of a free-standing wall has no factor.
 *
 * @throws {BeadbenchError} when T0 is not below 500 degC or another argument is out of range
 * @source EN 1011-2:2001 Annex D; formulas as in the SSAB Welding Handbook, 3.1 and 3.2
 * @example coolingTime({ heatInput: 1000, startTemperature: 20, thickness: 10 }).seconds // => 11.3636
 */
export function coolingTime(bead: CoolingTimeBead): CoolingTime {
  requireNumber("heat input", bead.heatInput, { above: 0, unit: "J/mm" });
  requireNumber("plate thickness", bead.thickness, { above: 0, unit: "mm" });
  requireNumber("interpass temperature", bead.startTemperature, { min: -60, below: 500, unit: "degC" });
  const factors = bead.factors ?? { twoDimensional: 1, threeDimensional: 1 };
  const heat = bead.heatInput / 1000;
  const start = bead.startTemperature;
  const [low, high] = [1 / (500 - start), 1 / (800 - start)];
  const plane = (4300 - 4.3 * start) * 1e5;
  const solid = 6700 - 5 * start;
  const twoDimensional =
    plane * (heat / bead.thickness) ** 2 * (low ** 2 - high ** 2) * factors.twoDimensional;
  const threeDimensional = solid * heat * (low - high) * factors.threeDimensional;
  const regime = twoDimensional > threeDimensional ? "two-dimensional" : "three-dimensional";
  return {
    seconds: Math.max(twoDimensional, threeDimensional),
    regime,
    twoDimensional,
    threeDimensional,
    transitionThickness: Math.sqrt(
      (plane / solid) * heat * (low + high) * (factors.twoDimensional / factors.threeDimensional),
    ),
  };
}

/**
 * Where the cooling-time formulas do not hold.
 *
 * @example checkCoolingTime("carbon steel", "plate") // => []
 */
export function checkCoolingTime(family: AlloyFamily, part: "plate" | "wall"): readonly Finding[] {
  const findings: Finding[] = [];
  if (family !== "carbon steel") {
    findings.push({
      code: "cooling-time-alloy",
      severity: "error",
      message: `the 800-500 degC cooling time is a rule for low-alloy steel and says nothing about ${family}`,
      advice: "use the interpass temperature instead",
    });
  }
  if (part === "wall") {
    findings.push({
      code: "cooling-time-wall",
      severity: "warning",
      message: "the top of a free-standing wall is half a plate, for which there is no shape factor",
      advice: "take the result as an estimate, and measure",
    });
  }
  return findings;
}
