import type { GrowthCell, GrowthPosterior } from "./growth-fit.js";
import { beginWall, copyState, type GrowthState, growthRow, layLayers, sumOf } from "./growth-state.js";
import { type LayerBand, mixtureBand, mixtureChance, type NormalPart } from "./normal-mixture.js";

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
  return Array.from(standoffs(posterior, course), (parts) => mixtureBand(parts, course.level));
}

/** Whether the band of the stand-off keeps between touch and too long before every layer of {@link foresee}. */
export function keepsWithin(
  posterior: GrowthPosterior,
  course: WallCourse,
  { touch, tooLong }: { readonly touch: number; readonly tooLong: number },
): boolean {
  const outside = (1 - course.level) / 2;
  let layer = course.running === true ? posterior.before : 1;
  for (const parts of standoffs(posterior, course)) {
    if (layer++ > course.layers) return true;
    // Chances in place of the band's limits, which would have to be searched.
    if (mixtureChance(parts, touch) >= outside || 1 - mixtureChance(parts, tooLong) >= outside) return false;
  }
  return true;
}

/** Stand-off before each layer, and after the last one, cell by cell. */
function* standoffs(posterior: GrowthPosterior, course: WallCourse): Generator<readonly NormalPart[]> {
  const { layout, belief, cells } = posterior;
  const { layers, rises, relevels, lever, running = false } = course;
  const { standoff: s, size } = layout;
  const walls = cells.map((cell) => ({ ...cell, state: firstState(posterior, cell, running), doubt: 0 }));
  for (let layer = running ? posterior.before : 1; layer <= layers + 1; layer++) {
    if (relevels?.has(layer)) {
      for (const wall of walls) {
        relevel(wall.state, posterior);
        wall.doubt = 0;
      }
    }
    yield walls.map(({ weight, state, doubt }) => ({
      weight,
      mean: state.mean[s]!,
      variance: Math.max(0, state.covariance[s * size + s]!) + doubt * doubt,
    }));
    if (layer > layers) return;
    const { factor, logSd } = lever?.[layer - 1] ?? { factor: 1, logSd: 0 };
    const laid = { from: layer, to: layer + 1, riseAfter: () => rises[layer - 1]!, factor };
    for (const wall of walls) {
      const { state, traits } = wall;
      wall.doubt = (1 - traits.slope) * wall.doubt + logSd * factor * belief.growth.mean;
      layLayers(state, layout, { ...laid, reference: belief.standoff, traits });
    }
  }
}
