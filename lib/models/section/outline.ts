import { type BeadShape, beadShapes, fullness, outlineHeight, toeAngle } from "../../process/index.js";

/** Outlines a section can be fitted with: those of `process`, and h (1 - u^n) with its exponent free. */
export const sectionShapes = [...beadShapes, "power"] as const;

/** One of {@link sectionShapes}. */
export type SectionShape = BeadShape | "power";

/** Half of a bead, from crest to toe. */
export interface HalfBead {
  /** Distance from crest to toe, mm. */
  readonly reach: number;
  readonly height: number;
  /** n of the power outline; unused by the others. */
  readonly exponent: number;
}

/** Height of a half bead at a distance from the crest, mm; 0 beyond the toe. */
export function halfHeightAt(shape: SectionShape, half: HalfBead, distance: number): number {
  const { reach, height, exponent } = half;
  if (distance >= reach) return 0;
  if (shape === "power") return height * (1 - (distance / reach) ** exponent);
  return outlineHeight({ shape, width: 2 * reach, height, x: distance });
}

/** Area of a half bead over reach times height. */
export function halfFullness(shape: SectionShape, { reach, height, exponent }: HalfBead): number {
  return shape === "power" ? exponent / (exponent + 1) : fullness(shape, { width: 2 * reach, height });
}

/** Angle between base and surface at the toe, deg. */
export function halfToeAngle(shape: SectionShape, { reach, height, exponent }: HalfBead): number {
  return shape === "power"
    ? (Math.atan((exponent * height) / reach) * 180) / Math.PI
    : toeAngle(shape, { width: 2 * reach, height });
}
