import type { RandomStream } from "../../numeric/index.js";
import type { DriftFit } from "./drift.js";
import { type Filtered, filterSeries } from "./filter.js";
import { growthPull, type RigTraits } from "./traits.js";

/** State of one place before the layer to come. */
export interface PlaceState {
  /** True stand-off, mm. */
  readonly standoff: number;
  /** Growth at the reference stand-off, mm. */
  readonly growth: number;
  /** Steady change of the growth, mm per layer. */
  readonly change: number;
  /** Lasting part of the random growth, mm. */
  readonly wander: number;
}

/** One way the rig and its places may be, in agreement with the log. */
export interface DriftDraw {
  readonly traits: RigTraits;
  readonly places: readonly PlaceState[];
}

/** Draws of rigs a drift fit leaves possible, in turn, their states from exact normal distributions. */
export function drawDrift(
  fit: DriftFit,
  rigs: readonly RigTraits[],
  { count, random }: { readonly count: number; readonly random: RandomStream },
): readonly DriftDraw[] {
  const { growth } = fit.posterior;
  const settings = { gaugeVariance: fit.gaugeSd ** 2, reference: fit.reference, growth };
  let known: { readonly rig: number; readonly places: readonly Filtered[] } | undefined;
  return Array.from({ length: count }, (_, i) => {
    const rig = Math.min(rigs.length - 1, Math.floor(((i + 0.5) * rigs.length) / count));
    const traits = rigs[rig]!;
    if (known?.rig !== rig)
      known = { rig, places: fit.series.map((one) => filterSeries(one, traits, settings)) };
    return { traits, places: known.places.map((filtered) => drawState(filtered, random)) };
  });
}

/** A draw from a state's normal distribution, by the Cholesky factor of its covariance. */
function drawState({ mean, covariance }: Filtered, random: RandomStream): PlaceState {
  const [ss, gs, gg, cs, cg, cc, ws, wg, wc, ww] = covariance as readonly [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const root = (value: number): number => Math.sqrt(Math.max(0, value));
  const over = (value: number, by: number): number => (by > 0 ? value / by : 0);
  const s = root(ss);
  const [gS, cS, wS] = [over(gs, s), over(cs, s), over(ws, s)];
  const g = root(gg - gS * gS);
  const [cG, wG] = [over(cg - cS * gS, g), over(wg - wS * gS, g)];
  const c = root(cc - cS * cS - cG * cG);
  const wC = over(wc - wS * cS - wG * cG, c);
  const w = root(ww - wS * wS - wG * wG - wC * wC);
  const [a, b, e, f] = [random.normal(), random.normal(), random.normal(), random.normal()];
  return {
    standoff: mean[0] + s * a,
    growth: mean[1] + gS * a + g * b,
    change: mean[2] + cS * a + cG * b + c * e,
    wander: mean[3] + wS * a + wG * b + wC * e + w * f,
  };
}

/** Growths no arc goes beyond, mm; common practice, no source. */
const GROWTH_RANGE = { least: 0, most: 12 } as const;

/**
 * Lays layers to come on one place.
 *
 * @param rises - after each layer, mm
 * @param visit - called after each layer with its place in `rises` and the stand-off, mm
 */
export function layAhead({
  traits,
  start,
  reference,
  rises,
  random,
  visit,
}: {
  readonly traits: RigTraits;
  readonly start: PlaceState;
  readonly reference: number;
  readonly rises: readonly number[];
  readonly random: RandomStream;
  readonly visit: (n: number, standoff: number) => void;
}): void {
  const { layerSd, wanderSd, wanderMemory, growthWalk, change: heating } = traits;
  const fade = heating === null ? 0 : Math.exp(-1 / heating.time);
  const fresh = wanderSd * Math.sqrt(1 - wanderMemory * wanderMemory);
  let { standoff, growth, change, wander } = start;
  for (let n = 0; n < rises.length; n++) {
    const grown = growth + wander + growthPull(traits, standoff - reference) + layerSd * random.normal();
    standoff += rises[n]! - Math.min(GROWTH_RANGE.most, Math.max(GROWTH_RANGE.least, grown));
    growth += change + (growthWalk > 0 ? growthWalk * random.normal() : 0);
    change *= fade;
    wander = wanderSd > 0 ? wanderMemory * wander + fresh * random.normal() : 0;
    visit(n, standoff);
  }
}

/** Quantile of an ascending array, between its neighbours. */
export function sortedQuantile(ascending: ArrayLike<number>, chance: number): number {
  const place = chance * (ascending.length - 1);
  const low = Math.floor(place);
  const high = Math.min(low + 1, ascending.length - 1);
  return ascending[low]! + (place - low) * (ascending[high]! - ascending[low]!);
}
