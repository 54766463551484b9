import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { type SourcedValue, sourced } from "../handbook/index.js";

/**
 * Resistance of a wall to heat flowing down to its cooled base.
 *
 *     R = H / (k g L)
 *
 * @param wall.height - H, mm
 * @param wall.thickness - g, mm
 * @param wall.length - L, mm
 * @param conductivity - k, W/(mm K)
 * @returns K/W, without the contact to the base
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example wallResistance({ height: 50, thickness: 5, length: 100 }, 0.03) // => 3.333
 */
export function wallResistance(
  wall: { readonly height: number; readonly thickness: number; readonly length: number },
  conductivity: number,
): number {
  requireNumber("wall height", wall.height, { min: 0, unit: "mm" });
  requireNumber("wall thickness", wall.thickness, { above: 0, unit: "mm" });
  requireNumber("wall length", wall.length, { above: 0, unit: "mm" });
  requireNumber("conductivity", conductivity, { above: 0, max: 0.5, unit: "W/(mm K)" });
  return wall.height / (conductivity * wall.thickness * wall.length);
}

/**
 * Time heat takes to settle over a wall's height; it grows with the height squared, until
 * convection and radiation take over.
 *
 *     4 H^2 / (pi^2 a)
 *
 * @param height - H, mm
 * @param diffusivity - a = k/(rho c), mm2/s
 * @returns s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example diffusionTime(50, 0.03 / 0.0052) // => 175.623
 */
export function diffusionTime(height: number, diffusivity: number): number {
  requireNumber("wall height", height, { min: 0, unit: "mm" });
  requireNumber("diffusivity", diffusivity, { above: 0, unit: "mm2/s" });
  return (4 * height * height) / (Math.PI * Math.PI * diffusivity);
}

/**
 * Heat lost by radiation and natural convection in argon below 300 degC, W/(m2 K).
 *
 * @example surfaceLoss.value // => 20
 */
export const surfaceLoss: SourcedValue = sourced(20, "W/(m2 K)", "from memory", "common practice", [10, 30]);

/**
 * Whether a wall may be treated as equally hot through its thickness.
 *
 * @param thickness - g, mm
 * @param conductivity - k, W/(mm K)
 * @param loss - h, W/(m2 K). Default {@link surfaceLoss}
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source Biot number h g/k well below 0.1
 * @example checkLump(150, 0.015, 30).map(({ code }) => code) // => ["not-a-lump"]
 */
export function checkLump(
  thickness: number,
  conductivity: number,
  loss: number = surfaceLoss.value,
): readonly Finding[] {
  requireNumber("wall thickness", thickness, { above: 0, unit: "mm" });
  requireNumber("conductivity", conductivity, { above: 0, unit: "W/(mm K)" });
  requireNumber("surface loss", loss, { above: 0, unit: "W/(m2 K)" });
  const biot = (loss * 1e-6 * thickness) / conductivity;
  if (biot <= 0.1) return [];
  return [
    {
      code: "not-a-lump",
      severity: "warning",
      message: `Biot number ${fixed(biot, 2)}: the wall is not equally hot through its thickness`,
      advice: "do not take one temperature for the whole part",
    },
  ];
}
