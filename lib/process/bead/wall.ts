import { type Finding, requireNumber, requireThat } from "../../errors/index.js";

/** Widths of a thin wall, mm. */
export interface WallWidths {
  /** Over the crests of both sides. */
  readonly total: number;
  /** Clean after machining, between the valleys. */
  readonly effective: number;
}

/** What a wall's widths mean. */
export interface WallShape {
  /** Depth of the side waves, per side, mm. */
  readonly waviness: number;
  /** Width that carries the mass balance, mm. */
  readonly meanWidth: number;
  /** Share of the wall left after machining. */
  readonly usable: number;
}

/**
 * Waviness, mean width and usable share of a wall whose sides bulge like parabolas.
 *
 *     SW = (TWW - EWW)/2, W_mean = EWW + 2/3 (TWW - EWW)
 *
 * @throws {BeadbenchError} when the clean width is above the total one
 * @source geometry
 * @example wallShape({ total: 5.8, effective: 5 }).waviness // => 0.4
 */
export function wallShape(widths: WallWidths): WallShape {
  requireNumber("total wall width", widths.total, { above: 0, unit: "mm" });
  requireNumber("effective wall width", widths.effective, { above: 0, unit: "mm" });
  const difference = widths.total - widths.effective;
  requireThat(
    difference >= 0,
    `the effective wall width (${widths.effective} mm) cannot exceed the total one (${widths.total} mm); are they swapped?`,
  );
  return {
    waviness: difference / 2,
    meanWidth: widths.effective + (2 / 3) * difference,
    usable: widths.effective / widths.total,
  };
}

/**
 * Height one layer adds to a wall, A / W_mean. With the effective width instead of the mean one the
 * layer comes out too high, by a tenth on a wavy wall.
 *
 * @param area - mm2 of metal per layer
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example wallLayerHeight(7.53982, { total: 5.8, effective: 5 }) // => 1.36262
 */
export function wallLayerHeight(area: number, widths: WallWidths): number {
  requireNumber("bead area", area, { above: 0, unit: "mm2" });
  return area / wallShape(widths).meanWidth;
}

/** Layers near the base, which are taller and narrower on cold metal than the steady wall. */
export const FIRST_LAYERS = 3;

/**
 * Which layers of a wall may stand for its steady state.
 *
 * @example checkSteadyLayers([1, 2, 4, 5]).map(({ code }) => code) // => ["first-layers-mixed"]
 */
export function checkSteadyLayers(layers: readonly number[]): readonly Finding[] {
  const early = layers.filter((layer) => layer <= FIRST_LAYERS);
  if (early.length === 0 || early.length === layers.length) return [];
  return [
    {
      code: "first-layers-mixed",
      severity: "warning",
      message: `${early.length} of ${layers.length} layers are among the first ${FIRST_LAYERS}, where the cold base makes beads taller and narrower`,
      advice: `fit walls on layers ${FIRST_LAYERS + 1} and up, the first layers on their own`,
    },
  ];
}
