import { requireNumber } from "../../errors/index.js";
import { requireSetting } from "../handbook/index.js";

/** One closed turn of a ring or tube. */
export interface RingTurn {
  /** Length on the centreline, mm. */
  readonly length: number;
  /** Arc time of one turn, s. */
  readonly time: number;
  /** Metal of one turn, mm3. */
  readonly volume: number;
  /** Metal the inner edge gets, over the nominal. */
  readonly innerShare: number;
  /** Metal the outer edge gets, over the nominal. */
  readonly outerShare: number;
}

/**
 * Length, time, volume and the uneven share of metal across a ring: the inside gets more than the
 * outside, so that walls lean inward.
 *
 *     L = pi D, V = A pi D (Pappus), inner R/(R - w/2), outer R/(R + w/2)
 *
 * @param ring.diameter - D of the centreline, mm
 * @param ring.beadWidth - w, mm, below the diameter
 * @param ring.area - A, mm2
 * @param ring.travelSpeed - v, mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source geometry
 * @example ringTurn({ diameter: 60, beadWidth: 6, area: 7.54, travelSpeed: 3 }).time // => 62.8319
 */
export function ringTurn(ring: {
  readonly diameter: number;
  readonly beadWidth: number;
  readonly area: number;
  readonly travelSpeed: number;
}): RingTurn {
  requireNumber("bead width", ring.beadWidth, { above: 0, unit: "mm" });
  requireNumber("ring diameter on the centreline", ring.diameter, { above: ring.beadWidth, unit: "mm" });
  requireNumber("bead area", ring.area, { above: 0, unit: "mm2" });
  requireSetting("travel_speed", ring.travelSpeed);
  const length = Math.PI * ring.diameter;
  const [radius, half] = [ring.diameter / 2, ring.beadWidth / 2];
  return {
    length,
    time: length / ring.travelSpeed,
    volume: ring.area * length,
    innerShare: radius / (radius - half),
    outerShare: radius / (radius + half),
  };
}

/**
 * Slope of a ring laid as one helix, whose pitch is the layer height.
 *
 * @param diameter - mm on the centreline
 * @param layerHeight - mm
 * @returns atan(h / L), deg
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example helixSlope(60, 1.508) // => 0.4584
 */
export function helixSlope(diameter: number, layerHeight: number): number {
  requireNumber("ring diameter", diameter, { above: 0, unit: "mm" });
  requireNumber("layer height", layerHeight, { above: 0, unit: "mm" });
  return (Math.atan(layerHeight / (Math.PI * diameter)) * 180) / Math.PI;
}

/** Golden angle, deg: seams turned by it never come to lie over each other. */
export const GOLDEN_ANGLE = 180 * (3 - Math.sqrt(5));

/**
 * Where the seam of a layer goes when each is turned by a constant angle from the one below.
 *
 * @param layer - 0 for the first
 * @param step - deg. Default {@link GOLDEN_ANGLE}
 * @returns deg, from 0 to below 360
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example seamAngle(2) // => 275.0155
 */
export function seamAngle(layer: number, step: number = GOLDEN_ANGLE): number {
  requireNumber("layer", layer, { min: 0 });
  return (((layer * step) % 360) + 360) % 360;
}
