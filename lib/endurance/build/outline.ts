import { requireCount, requireNumber, requireThat } from "../../errors/index.js";

/** One layer of a part: how far the arc travels, and how often it starts. */
export interface OutlineLayer {
  /** From 1. */
  readonly layer: number;
  /** mm with the arc on. */
  readonly path: number;
  readonly starts: number;
}

/** A part, layer by layer. */
export interface PartOutline {
  readonly layers: readonly OutlineLayer[];
}

/** Longest build taken: a day of forecasting is no answer. */
export const MOST_LAYERS = 20_000;

/**
 * A part of equal layers: a straight wall of a length, or a ring of a mean diameter.
 *
 * @throws {BeadbenchError} `bad-argument` for numbers outside their bounds
 * @example equalLayers({ layers: 200, path: Math.PI * 60 }).layers.length // => 200
 */
export function equalLayers({
  layers,
  path,
  starts = 1,
}: {
  readonly layers: number;
  /** mm with the arc on, per layer. */
  readonly path: number;
  /** Arc starts per layer; below 1 where the arc runs on over several layers, as on a helix. Default 1. */
  readonly starts?: number;
}): PartOutline {
  requireCount("layers", layers, { min: 1, max: MOST_LAYERS });
  return checkOutline(Array.from({ length: layers }, (_, i) => ({ layer: i + 1, path, starts })));
}

/**
 * A part from its table by layer; layers must be all there, in order.
 *
 * @throws {BeadbenchError} `bad-argument` naming the layer
 */
export function checkOutline(layers: readonly OutlineLayer[]): PartOutline {
  requireThat(layers.length > 0, "a part needs at least one layer");
  requireThat(
    layers.length <= MOST_LAYERS,
    `at most ${MOST_LAYERS} layers are forecast, got ${layers.length}`,
  );
  layers.forEach(({ layer, path, starts }, i) => {
    requireThat(
      layer === i + 1,
      `layers must be counted 1, 2, 3 without a gap: after layer ${i} comes ${layer}`,
    );
    requireNumber(`path of layer ${layer}`, path, { above: 0, max: 1e7, unit: "mm" });
    requireNumber(`starts of layer ${layer}`, starts, { min: 0, max: 1000 });
  });
  return { layers };
}
