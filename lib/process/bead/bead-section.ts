import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { findRoot, scaleUntil } from "../../numeric/roots/index.js";
import { standardGravity } from "../handbook/index.js";

/** Outlines a bead on a flat base can be drawn by. */
export const beadShapes = ["parabola", "circular-arc", "cosine", "raised-cosine", "half-ellipse"] as const;

/** One of {@link beadShapes}. */
export type BeadShape = (typeof beadShapes)[number];

/** Width at the base and height above it, mm. */
export interface BeadSize {
  readonly width: number;
  readonly height: number;
}

/** Area over width times height, for the outlines where it does not depend on the proportions. */
const constantFullness: Readonly<Record<Exclude<BeadShape, "circular-arc">, number>> = {
  parabola: 2 / 3,
  cosine: 2 / Math.PI,
  "raised-cosine": 1 / 2,
  "half-ellipse": Math.PI / 4,
};

/**
 * Cross-section of the metal above the base.
 *
 *     parabola 2wh/3, cosine 2wh/pi, raised cosine wh/2, half ellipse pi wh/4,
 *     circular arc R^2 (theta - sin theta cos theta), R = (w^2/4 + h^2)/(2h), theta = 2 atan(2h/w)
 *
 * @returns mm2
 * @throws {BeadbenchError} when width or height is not above 0
 * @source parabola and cosine: Ding, Pan, Cuiuri and Li, Robot. Comput.-Integr. Manuf. 31 (2015) 101; the rest geometry
 * @example sectionArea("parabola", { width: 6, height: 2 }) // => 8
 */
export function sectionArea(shape: BeadShape, size: BeadSize): number {
  return fullness(shape, size) * size.width * size.height;
}

/**
 * Area over width times height: the parabola's 0.667 unless measured otherwise.
 *
 * @throws {BeadbenchError} `bad-argument` for a width or height that is not above 0
 * @example fullness("cosine", { width: 6, height: 2 }) // => 0.63662
 */
export function fullness(shape: BeadShape, size: BeadSize): number {
  const { width, height } = requireSize(size);
  if (shape !== "circular-arc") return constantFullness[shape];
  const theta = 2 * Math.atan((2 * height) / width);
  const radius = ((width * width) / 4 + height * height) / (2 * height);
  return (radius * radius * (theta - Math.sin(theta) * Math.cos(theta))) / (width * height);
}

/**
 * Angle between base and bead surface at the toe. Over 90 deg (circular arc higher than half its
 * width) the bead overhangs its own toe: it has balled and not wetted.
 *
 * @returns deg
 * @throws {BeadbenchError} `bad-argument` for a width or height that is not above 0
 * @example toeAngle("circular-arc", { width: 6, height: 2 }) // => 67.380
 */
export function toeAngle(shape: BeadShape, size: BeadSize): number {
  const { width, height } = requireSize(size);
  const degrees = (slope: number): number => (Math.atan(slope) * 180) / Math.PI;
  switch (shape) {
    case "parabola":
      return degrees((4 * height) / width);
    case "circular-arc":
      return 2 * degrees((2 * height) / width);
    case "cosine":
      return degrees((Math.PI * height) / width);
    case "raised-cosine":
      return 0;
    case "half-ellipse":
      return 90;
  }
}

/**
 * Height of the surface above the base at a distance `x` from the middle; 0 outside the toes.
 * For an overhanging arc, the upper branch.
 *
 * @param x - mm from the middle of the bead
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a width or height that is not above 0
 * @example sectionHeightAt("parabola", { width: 6, height: 2 }, 1.5) // => 1.5
 */
export function sectionHeightAt(shape: BeadShape, size: BeadSize, x: number): number {
  const { width, height } = requireSize(size);
  return Math.abs(2 * x) > width ? 0 : outlineHeight({ shape, width, height, x });
}

/**
 * Outline of {@link sectionHeightAt} within its toes and without its checks, for fits that run it often: beyond half the
 * width to either side it means nothing.
 *
 * @returns mm above the base
 */
export function outlineHeight({
  shape,
  width,
  height,
  x,
}: {
  readonly shape: BeadShape;
  readonly width: number;
  readonly height: number;
  readonly x: number;
}): number {
  const u = (2 * x) / width;
  switch (shape) {
    case "parabola":
      return height * (1 - u * u);
    case "circular-arc": {
      const radius = ((width * width) / 4 + height * height) / (2 * height);
      return height - radius + Math.sqrt(radius * radius - x * x);
    }
    case "cosine":
      return height * Math.cos((Math.PI * u) / 2);
    case "raised-cosine":
      return (height / 2) * (1 + Math.cos(Math.PI * u));
    case "half-ellipse":
      return height * Math.sqrt(1 - u * u);
  }
}

/**
 * Height of a bead whose area and width are known: the inverse of {@link sectionArea}.
 *
 * @param area - mm2
 * @param width - mm
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example heightForArea("parabola", 7.539822, 6) // => 1.88496
 */
export function heightForArea(shape: BeadShape, area: number, width: number): number {
  requireNumber("bead area", area, { above: 0, unit: "mm2" });
  requireNumber("bead width", width, { above: 0, unit: "mm" });
  if (shape !== "circular-arc") return area / (constantFullness[shape] * width);
  // A segment's fullness is 2/3 when flat and grows with its height, so the parabola's height is an upper bound.
  const excess = (height: number): number => sectionArea(shape, { width, height }) - area;
  const upper = (3 * area) / (2 * width);
  const lower = scaleUntil({
    what: "bead height",
    x: upper,
    factor: 0.5,
    holds: (height) => excess(height) <= 0,
  });
  return findRoot({ f: excess, lower, upper: upper * (1 + 1e-12) }).x;
}

/**
 * One finding when a bead of this outline overhangs its toes.
 *
 * @example checkWetting("circular-arc", { width: 4, height: 1.9 }) // => []
 */
export function checkWetting(shape: BeadShape, size: BeadSize): readonly Finding[] {
  const angle = toeAngle(shape, size);
  if (angle <= 90) return [];
  return [
    {
      code: "bead-balled",
      severity: "warning",
      message: `a bead ${fixed(size.width, 1)} mm wide and ${fixed(size.height, 1)} mm high meets the base at ${fixed(angle, 0)} deg: it has balled and not wetted`,
      advice: "more heat per length, a cleaner base, or less wire",
    },
  ];
}

/**
 * Length at which surface tension and weight of the liquid balance; beads narrower than about twice
 * this stay circular, wider ones sag flat.
 *
 *     sqrt(gamma / (rho g))
 *
 * @param surfaceTension - gamma, N/m (steel about 1.7, aluminium 0.9)
 * @param density - rho of the liquid, g/cm3
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example capillaryLength(1.7, 7) // => 4.976
 */
export function capillaryLength(surfaceTension: number, density: number): number {
  requireNumber("surface tension", surfaceTension, { above: 0, unit: "N/m" });
  requireNumber("density", density, { above: 0, unit: "g/cm3" });
  return 1000 * Math.sqrt(surfaceTension / (density * 1000 * standardGravity));
}

function requireSize(size: BeadSize): BeadSize {
  requireNumber("bead width", size.width, { above: 0, unit: "mm" });
  requireNumber("bead height", size.height, { above: 0, unit: "mm" });
  return size;
}
