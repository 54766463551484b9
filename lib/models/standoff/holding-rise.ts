import { requireCount, requireNumber } from "../../errors/index.js";
import { randomStream } from "../../numeric/index.js";
import { correctionInterval, driftHalfLife } from "../../process/index.js";
import { drawDrift, sortedQuantile } from "./draws.js";
import type { DriftFit } from "./drift.js";
import type { Estimate } from "./estimate.js";
import { growthPull } from "./traits.js";

/** Rise per layer that holds a stand-off, and how often to correct it all the same. */
export interface HoldingRise {
  /** mm per layer, place by place. */
  readonly rise: readonly (Estimate & { readonly station: string })[];
  /** One rise for all places: the mean of theirs. */
  readonly common: number;
  /** Layers after which to measure and correct, so that two sd of layer scatter stay within the margin. */
  readonly correctEvery: number;
  /** Layers in which an error halves by itself; null when it does not. */
  readonly halfLife: number | null;
}

/**
 * Layer rise at which growth and rise agree at a wanted stand-off.
 *
 *     dz = h0 + kappa (s - s_ref)
 *
 * The interval is about the mean growth; the layers scatter around it.
 *
 * @param options.standoff - s, mm
 * @param options.margin - mm the stand-off may stray before it harms
 * @param options.level - Default 0.95
 * @param options.draws - Default 2000
 */
export function holdingRise(
  fit: DriftFit,
  options: {
    readonly standoff: number;
    readonly margin: number;
    readonly level?: number;
    readonly draws?: number;
    readonly seed: number;
  },
): HoldingRise {
  const { standoff, margin, level = 0.95, draws = 2000, seed } = options;
  requireNumber("stand-off to hold", standoff, { min: 0, max: 60, unit: "mm" });
  requireNumber("margin", margin, { above: 0, unit: "mm" });
  requireNumber("level", level, { above: 0, below: 1 });
  const drawn = drawDrift(fit, requireCount("draws", draws, { min: 100 }), randomStream(seed));
  const rise = fit.series.map(({ station }, place) => {
    const values = Float64Array.from(
      drawn,
      ({ traits, places }) => places[place]!.growth + growthPull(traits, standoff - fit.reference),
    ).sort();
    return {
      station,
      estimate: sortedQuantile(values, 0.5),
      lower: sortedQuantile(values, (1 - level) / 2),
      upper: sortedQuantile(values, (1 + level) / 2),
    };
  });
  return {
    rise,
    common: rise.reduce((sum, { estimate }) => sum + estimate, 0) / rise.length,
    correctEvery: correctionInterval(margin, fit.layerSd.estimate),
    halfLife: fit.verdict === "self-regulating" ? driftHalfLife(fit.slope.estimate) : null,
  };
}
