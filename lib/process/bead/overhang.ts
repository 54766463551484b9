import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";

/**
 * Sideways shift per layer of a leaning wall.
 *
 *     e = h tan(phi)
 *
 * @param layerHeight - h, mm
 * @param angle - phi from the vertical, deg
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example overhangShift(1.5, 30) // => 0.866
 */
export function overhangShift(layerHeight: number, angle: number): number {
  requireNumber("layer height", layerHeight, { above: 0, unit: "mm" });
  requireNumber("overhang from the vertical", angle, { min: 0, below: 90, unit: "deg" });
  return layerHeight * Math.tan((angle * Math.PI) / 180);
}

/**
 * Overhang a shift per layer makes: atan(e/h), deg.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example overhangAngle(1, 1.5) // => 33.6901
 */
export function overhangAngle(shift: number, layerHeight: number): number {
  requireNumber("shift per layer", shift, { min: 0, unit: "mm" });
  requireNumber("layer height", layerHeight, { above: 0, unit: "mm" });
  return (Math.atan(shift / layerHeight) * 180) / Math.PI;
}

/**
 * Pool length over pi times its width: near 1 a free liquid cylinder breaks into humps. A feature to
 * learn a limit from, not a limit: no published model predicts the onset reliably.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source Plateau-Rayleigh; Nguyen, Weckman, Johnson and Kerr, review of high speed bead defects
 * @example Math.PI * humpingRatio(4.38, 5.17) // => 0.847195
 */
export function humpingRatio(poolLength: number, poolWidth: number): number {
  requireNumber("pool length", poolLength, { above: 0, unit: "mm" });
  return poolLength / (Math.PI * requireNumber("pool width", poolWidth, { above: 0, unit: "mm" }));
}

/** Overhang from the vertical that is common with an upright torch, deg; from memory. */
const ROUTINE_OVERHANG = 25;

/**
 * Whether a wall leans more than is common with an upright torch.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkOverhang(20) // => []
 */
export function checkOverhang(angle: number, routine: number = ROUTINE_OVERHANG): readonly Finding[] {
  requireNumber("overhang from the vertical", angle, { min: 0, below: 90, unit: "deg" });
  if (angle <= routine) return [];
  return [
    {
      code: "overhang-steep",
      severity: "warning",
      message: `${fixed(angle, 0)} deg from the vertical; ${fixed(routine, 0)} deg is common with an upright torch (from memory)`,
      advice: "thin layers, a cool interpass, or a torch tilted along the wall",
    },
  ];
}
