import { findRoot, normalCdf } from "../../numeric/index.js";
import type { GrowthCell, GrowthPosterior } from "./growth-fit.js";
import { beginWall, copyState, type GrowthState, growthRow, layLayers, sumOf } from "./growth-state.js";

/** A quantity by layer, mm: expected, and the band of one layer at a time. */
export interface LayerBand {
  readonly expected: number;
  readonly low: number;
  readonly high: number;
}

/** How the walls to come are laid. */
export interface WallCourse {
  readonly layers: number;
  /** After each layer from 1 on, mm. */
  readonly rises: readonly number[];
  /** Layers before which the stand-off is measured and set anew. */
  readonly relevels?: ReadonlySet<number>;
  /** Factor on the growth of each layer from a lever, and the doubt about its logarithm. */
  readonly lever?: readonly { readonly factor: number; readonly logSd: number }[];
  /** Of the bands. */
  readonly level: number;
  /** Whether the last wall of the log goes on, in place of a new one. */
  readonly running?: boolean;
}

/** State of a new wall, set to its stand-off by the gauge; or of the last wall of the log. */
function firstState(
  { belief, layout, gaugeSd }: GrowthPosterior,
  cell: GrowthCell,
  running: boolean,
): GrowthState {
  const state = copyState(cell.state);
  if (!running)
    beginWall(state, layout, {
      traits: cell.traits,
      drop: belief.drop.mean,
      standoff: belief.standoff,
      startSd: gaugeSd,
    });
  return state;
}

/** Measures the stand-off and sets it to the wanted one: what the gauge misses is left. */
function relevel(state: GrowthState, { layout: { size, standoff }, belief, gaugeSd }: GrowthPosterior): void {
  for (let j = 0; j < size; j++) {
    state.covariance[standoff * size + j] = 0;
    state.covariance[j * size + standoff] = 0;
  }
  state.mean[standoff] = belief.standoff;
  state.covariance[standoff * size + standoff] = gaugeSd ** 2;
}

/**
 * Growth of each layer at the stand-off that is held, mm: mean over all that the log leaves possible, and the band of one
 * layer of one wall to come.
 */
export function growthAhead(
  posterior: GrowthPosterior,
  {
    layers,
    level,
    running = false,
  }: { readonly layers: number; readonly level: number; readonly running?: boolean },
): readonly LayerBand[] {
  const { layout } = posterior;
  const states = posterior.cells.map((cell) => ({ cell, state: firstState(posterior, cell, running) }));
  return Array.from({ length: layers }, (_, i) =>
    mixtureBand(
      states.map(({ cell: { weight, traits }, state }) => {
        const { mean, variance } = sumOf(state, layout.size, growthRow(layout, i + 1, traits.heated));
        return { weight, mean, variance: variance + traits.layerSd ** 2 };
      }),
      level,
    ),
  );
}

/**
 * Stand-off before each layer, and in the end after the last one: exact within each cell, averaged over them.
 *
 * @returns bands before layers 1 (or the running wall's next one) to `layers` + 1
 */
export function foresee(posterior: GrowthPosterior, course: WallCourse): readonly LayerBand[] {
  const { layout, belief, cells } = posterior;
  const { layers, rises, relevels, lever, level, running = false } = course;
  const first = running ? posterior.before : 1;
  const before = Array.from({ length: Math.max(0, layers + 2 - first) }, (): NormalPart[] => []);
  for (const cell of cells) {
    const { weight, traits } = cell;
    const state = firstState(posterior, cell, running);
    let doubt = 0;
    for (let layer = first; layer <= layers + 1; layer++) {
      if (relevels?.has(layer)) {
        relevel(state, posterior);
        doubt = 0;
      }
      const row = before[layer - first]!;
      const s = layout.standoff;
      row.push({
        weight,
        mean: state.mean[s]!,
        variance: Math.max(0, state.covariance[s * layout.size + s]!) + doubt * doubt,
      });
      if (layer > layers) break;
      const { factor, logSd } = lever?.[layer - 1] ?? { factor: 1, logSd: 0 };
      doubt = (1 - traits.slope) * doubt + logSd * factor * belief.growth.mean;
      layLayers(state, layout, {
        from: layer,
        to: layer + 1,
        riseAfter: () => rises[layer - 1]!,
        reference: belief.standoff,
        traits,
        factor,
      });
    }
  }
  return before.map((row) => mixtureBand(row, level));
}

interface NormalPart {
  readonly weight: number;
  readonly mean: number;
  readonly variance: number;
}

/** Mean and equal-tailed limits of a mixture of normal distributions. */
function mixtureBand(parts: readonly NormalPart[], level: number): LayerBand {
  const expected = parts.reduce((sum, { weight, mean }) => sum + weight * mean, 0);
  const sds = parts.map(({ variance }) => Math.sqrt(Math.max(1e-12, variance)));
  const low = parts.reduce(
    (least, { mean }, i) => Math.min(least, mean - 9 * sds[i]!),
    Number.POSITIVE_INFINITY,
  );
  const high = parts.reduce(
    (most, { mean }, i) => Math.max(most, mean + 9 * sds[i]!),
    Number.NEGATIVE_INFINITY,
  );
  const at = (chance: number): number =>
    findRoot({
      f: (x) =>
        parts.reduce((sum, { weight, mean }, i) => sum + weight * normalCdf((x - mean) / sds[i]!), -chance),
      lower: low,
      upper: high,
    }).x;
  return { expected, low: at((1 - level) / 2), high: at((1 + level) / 2) };
}
