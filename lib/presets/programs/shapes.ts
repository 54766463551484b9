import { requireCount, requireNumber, requireThat } from "../../errors/index.js";

/** A place over the plate, mm: x and y from its front left corner, z of the tip above its top. */
export interface Place {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

/** One motion with the arc on, straight or along an arc against the clock about a centre. */
export interface BeadMove {
  readonly to: Place;
  readonly centre?: { readonly x: number; readonly y: number };
}

/** One arc from start to stop. */
export interface Bead {
  readonly layer: number;
  readonly from: Place;
  readonly moves: readonly BeadMove[];
}

/** What is laid at each coupon's settings. Lengths in mm, angles in degrees. */
export type CouponShape =
  | { readonly kind: "bead"; readonly length: number }
  | { readonly kind: "ring"; readonly diameter: number; readonly layers: number; readonly rise: number }
  | { readonly kind: "wall"; readonly length: number; readonly layers: number; readonly rise: number }
  /** A bead along which the stand-off goes evenly from one to the other. */
  | { readonly kind: "ramp"; readonly length: number; readonly from: number; readonly to: number }
  /** A wall that leans further by `angle` after every `every` layers: the first ones stand upright. */
  | {
      readonly kind: "overhang";
      readonly length: number;
      readonly layers: number;
      readonly rise: number;
      readonly angle: number;
      readonly every: number;
    };

export const shapeKinds = ["bead", "ring", "wall", "ramp", "overhang"] as const;

/** A coupon as it is laid: its beads from the corner of its own box, whose sides its paths keep to. */
export interface ShapePath {
  /** Without the width of the bead. */
  readonly width: number;
  readonly depth: number;
  /** Height of the highest tip, mm. */
  readonly top: number;
  readonly beads: readonly Bead[];
}

/** Degrees from seam to seam of one layer to the next, so that starts spread evenly round a ring whatever their number. */
const GOLDEN_ANGLE = 137.508;
/** A ring's end runs over its start by this. Common practice, no source: 3 to 8 mm. */
const OVERLAP = 5;
/** Lean beyond which a vertical torch without support lets the pool fall. Common practice, no source. */
const STEEPEST = 60;

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/**
 * The path of a coupon, layer by layer.
 *
 * @param standoff - of the tip above the layer below, mm
 * @throws {BeadbenchError} `bad-argument` for a length, count or angle out of its bounds
 */
export function shapePath(shape: CouponShape, standoff: number): ShapePath {
  requireNumber("stand-off", standoff, { above: 0, max: 100, unit: "mm" });
  switch (shape.kind) {
    case "bead":
      return line(requireLength(shape.length), [{ layer: 1, y: 0, z: standoff }]);
    case "ramp": {
      const length = requireLength(shape.length);
      for (const end of [shape.from, shape.to])
        requireNumber("stand-off of the ramp", end, { above: 0, max: 100, unit: "mm" });
      const { from, to } = shape;
      requireThat(from !== to, `a ramp goes from one stand-off to another, got ${from} mm twice`);
      return {
        width: length,
        depth: 0,
        top: Math.max(from, to),
        beads: [{ layer: 1, from: { x: 0, y: 0, z: from }, moves: [{ to: { x: length, y: 0, z: to } }] }],
      };
    }
    case "wall":
      return line(
        requireLength(shape.length),
        layersOf(shape, standoff, () => 0),
      );
    case "overhang": {
      const { angle, every } = shape;
      requireNumber("step of the overhang", angle, { above: 0, max: STEEPEST, unit: "deg" });
      requireCount("layers between steps of the overhang", every, { min: 1 });
      const lean = (layer: number): number => angle * Math.floor((layer - 1) / every);
      requireThat(
        lean(shape.layers) <= STEEPEST,
        `${shape.layers} layers in steps of ${angle} deg every ${every} lean ${lean(shape.layers)} deg at the top, and ${STEEPEST} is the most: fewer layers or smaller steps`,
      );
      return line(
        requireLength(shape.length),
        layersOf(shape, standoff, (layer) => shape.rise * Math.tan(radians(lean(layer)))),
      );
    }
    case "ring":
      return ring(shape, standoff);
  }
}

const requireLength = (length: number): number =>
  requireNumber("length of a coupon", length, { min: 5, max: 2000, unit: "mm" });

interface LayerLine {
  readonly layer: number;
  readonly y: number;
  readonly z: number;
}

/** Layers with the shift of each against the one below. */
function layersOf(
  { layers, rise }: { readonly layers: number; readonly rise: number },
  standoff: number,
  shift: (layer: number) => number,
): readonly LayerLine[] {
  requireCount("layers", layers, { min: 1, max: 500 });
  requireNumber("rise of a layer", rise, { above: 0, max: 20, unit: "mm" });
  let y = 0;
  return Array.from({ length: layers }, (_, i): LayerLine => {
    if (i > 0) y += shift(i + 1);
    return { layer: i + 1, y, z: i * rise + standoff };
  });
}

/** Straight layers, each laid against the direction of the one before. */
function line(length: number, layers: readonly LayerLine[]): ShapePath {
  const last = layers.at(-1)!;
  return {
    width: length,
    depth: last.y,
    top: last.z,
    beads: layers.map(({ layer, y, z }): Bead => {
      const ends = [0, length];
      const [start, end] = layer % 2 === 1 ? ends : ends.reverse();
      return { layer, from: { x: start!, y, z }, moves: [{ to: { x: end!, y, z } }] };
    }),
  };
}

function ring(shape: CouponShape & { readonly kind: "ring" }, standoff: number): ShapePath {
  const diameter = requireNumber("diameter of a ring", shape.diameter, { min: 10, max: 1000, unit: "mm" });
  const radius = diameter / 2;
  const centre = { x: radius, y: radius };
  const layers = layersOf(shape, standoff, () => 0);
  return {
    width: diameter,
    depth: diameter,
    top: layers.at(-1)!.z,
    beads: layers.map(({ layer, z }): Bead => {
      const seam = radians(GOLDEN_ANGLE * (layer - 1));
      const at = (angle: number): Place => ({
        x: radius + radius * Math.cos(angle),
        y: radius + radius * Math.sin(angle),
        z,
      });
      const from = at(seam);
      return {
        layer,
        from,
        moves: [
          { to: from, centre },
          { to: at(seam + OVERLAP / radius), centre },
        ],
      };
    }),
  };
}
