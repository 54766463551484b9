import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { findRoot } from "../../numeric/roots/index.js";
import { type BeadShape, type BeadSize, fullness } from "./bead-section.js";

/**
 * Spacing at which equal beads side by side fill a flat layer as high as one bead.
 *
 *     d = A / h = c w
 *
 * Real beads climb at this spacing; {@link tangentSpacingRatio} is the one that stays level.
 *
 * @returns mm
 * @source Suryakumar and others, Computer-Aided Design 43 (2011) 331, for the parabola
 * @example flatTopSpacing("parabola", { width: 6, height: 2 }) // => 4
 */
export function flatTopSpacing(shape: BeadShape, size: BeadSize): number {
  return fullness(shape, size) * size.width;
}

/**
 * Metal of the overlap less room in the valley, for parabolas of half width 1 and height 1 at spacing
 * 2 ratio. The valley's roof starts on the first bead above the second's toe and touches the second.
 */
function surplus(ratio: number): number {
  const spacing = 2 * ratio;
  const under = (x: number): number => x - x ** 3 / 3;
  const overlap = 2 * (under(1) - under(spacing / 2));
  const from = spacing - 1;
  const fromHeight = 1 - from * from;
  const touch = Math.sqrt(fromHeight) - 1;
  const roof = 0.5 * (fromHeight + 1 - touch * touch) * (spacing + touch - from);
  const beads = under(spacing / 2) - under(from) + under(touch) - under(-spacing / 2);
  return overlap - (roof - beads);
}

/**
 * Spacing over width of equal parabolic beads at which a layer stays level: metal of the overlap just
 * fills the valley under the tangent. Closer beads climb on each other; beads further apart than
 * their width do not touch.
 *
 * @source derived here; Ding, Pan, Cuiuri and Li, Robot. Comput.-Integr. Manuf. 31 (2015) 101, give 0.738
 * @example tangentSpacingRatio() // => 0.737843
 */
export function tangentSpacingRatio(): number {
  return findRoot({ f: surplus, lower: 0.6, upper: 0.95 }).x;
}

/**
 * Mean height of a layer of equal beads at a spacing.
 *
 * @param area - mm2 of one bead
 * @param spacing - d, mm
 * @returns A / d, mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example meanLayerHeight(8, 4.4) // => 1.81818
 */
export function meanLayerHeight(area: number, spacing: number): number {
  requireNumber("bead area", area, { above: 0, unit: "mm2" });
  return area / requireNumber("bead spacing", spacing, { above: 0, unit: "mm" });
}

/** What two equal parabolic beads at a spacing look like before the second flows into the first. */
export interface Overlap {
  /** Depth of the valley below the crests, mm. */
  readonly valleyDepth: number;
  /** Area both beads claim, mm2. */
  readonly overlapArea: number;
}

/**
 * Valley and shared area of two equal parabolic beads.
 *
 *     depth h (d/w)^2, shared area wh [(1 - D) - (1 - D^3)/3], D = d/w
 *
 * @param spacing - d, mm, at most the width
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example overlapOf({ width: 6, height: 2 }, 4.5).valleyDepth // => 1.125
 */
export function overlapOf(size: BeadSize, spacing: number): Overlap {
  requireNumber("bead width", size.width, { above: 0, unit: "mm" });
  requireNumber("bead height", size.height, { above: 0, unit: "mm" });
  requireNumber("bead spacing", spacing, { above: 0, max: size.width, unit: "mm" });
  const ratio = spacing / size.width;
  return {
    valleyDepth: size.height * ratio ** 2,
    overlapArea: size.width * size.height * (1 - ratio - (1 - ratio ** 3) / 3),
  };
}

/** Beads that cover a width, edge to edge. */
export interface BeadsAcross {
  readonly count: number;
  /** mm; 0 for a single bead. */
  readonly spacing: number;
}

/**
 * How many beads cover a width, at no more than the wanted spacing.
 *
 *     n = ceil((B - w)/d) + 1, then d = (B - w)/(n - 1)
 *
 * @param across - B, mm
 * @param beadWidth - w, mm
 * @param spacing - d, mm
 * @throws {BeadbenchError} when the width to cover is narrower than one bead
 * @example beadsAcross(50, 6, 4.428) // => { count: 11, spacing: 4.4 }
 */
export function beadsAcross(across: number, beadWidth: number, spacing: number): BeadsAcross {
  requireNumber("bead width", beadWidth, { above: 0, unit: "mm" });
  requireNumber("width to cover", across, { min: beadWidth, unit: "mm" });
  requireNumber("bead spacing", spacing, { above: 0, unit: "mm" });
  const gaps = Math.ceil((across - beadWidth) / spacing - 1e-9);
  return { count: gaps + 1, spacing: gaps === 0 ? 0 : (across - beadWidth) / gaps };
}

/**
 * What a spacing of equal parabolic beads will do to a layer.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkSpacing(6, 4.5) // => []
 */
export function checkSpacing(beadWidth: number, spacing: number): readonly Finding[] {
  requireNumber("bead width", beadWidth, { above: 0, unit: "mm" });
  requireNumber("bead spacing", spacing, { above: 0, unit: "mm" });
  const ratio = spacing / beadWidth;
  const level = tangentSpacingRatio();
  if (ratio > 1) {
    return [
      {
        code: "beads-apart",
        severity: "warning",
        message: `beads ${fixed(beadWidth, 1)} mm wide at ${fixed(spacing, 1)} mm do not touch`,
        advice: `keep the spacing between ${fixed(level * beadWidth, 2)} and ${fixed(beadWidth, 2)} mm`,
      },
    ];
  }
  if (ratio < level - 1e-9) {
    return [
      {
        code: "beads-climb",
        severity: "warning",
        message: `at ${fixed(ratio, 3)} of the width each bead climbs on the one before; level from ${fixed(level, 3)}`,
        advice: `widen the spacing to ${fixed(level * beadWidth, 2)} mm or more`,
      },
    ];
  }
  return [];
}
