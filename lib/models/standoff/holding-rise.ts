import { requireCount, requireNumber } from "../../errors/index.js";
import { mean, type RandomStream, randomStream } from "../../numeric/index.js";
import { driftHalfLife } from "../../process/index.js";
import { type DriftDraw, drawDrift, layAhead, sortedQuantile } from "./draws.js";
import type { DriftFit } from "./drift.js";
import type { Estimate } from "./estimate.js";
import { growthPull } from "./traits.js";

/** Rise per layer that holds a stand-off, and how often to correct it all the same. */
export interface HoldingRise {
  /** mm per layer, place by place. */
  readonly rise: readonly (Estimate & { readonly station: string })[];
  /** One rise for all places: the mean of theirs. */
  readonly common: number;
  /**
   * Layers after which to measure and correct, so that 19 builds in 20 stay within the margin at every place: layer
   * scatter, what is not known of growth and regulation, and the gauge that sets the stand-off. From 1 to 200.
   */
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
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
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
  const random = randomStream(seed);
  const drawn = drawDrift(fit, fit.posterior.rigs, {
    count: requireCount("draws", draws, { min: 100 }),
    random,
  });
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
    common: mean(rise.map(({ estimate }) => estimate)),
    correctEvery: Math.min(
      ...rise.map(({ estimate }, place) =>
        layersWithin(fit, { drawn, place, rise: estimate, standoff, margin }, random),
      ),
    ),
    halfLife: fit.verdict === "self-regulating" ? driftHalfLife(fit.slope.estimate) : null,
  };
}

/** Layers to look ahead for a correction, and the share of builds that may have left the margin by then. */
const HORIZON = 200;
const OUTSIDE = 0.05;

/** Layers over which a place that was set to its stand-off by the gauge stays within a margin of it. */
function layersWithin(
  fit: DriftFit,
  {
    drawn,
    place,
    rise,
    standoff,
    margin,
  }: {
    readonly drawn: readonly DriftDraw[];
    readonly place: number;
    readonly rise: number;
    readonly standoff: number;
    readonly margin: number;
  },
  random: RandomStream,
): number {
  const rises = new Array<number>(HORIZON).fill(rise);
  const left = drawn
    .map(({ traits, places }) => {
      let first = HORIZON + 1;
      const start = { ...places[place]!, standoff: standoff + fit.gaugeSd * random.normal() };
      layAhead({
        traits,
        start,
        reference: fit.reference,
        rises,
        random,
        visit: (n, at) => {
          if (first > HORIZON && Math.abs(at - standoff) > margin) first = n + 1;
        },
      });
      return first;
    })
    .sort((a, b) => a - b);
  return Math.max(1, left[Math.floor(OUTSIDE * left.length)]! - 1);
}
