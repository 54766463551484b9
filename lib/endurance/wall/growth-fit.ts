import { exploreAround, findPeak, type Peak, resample } from "../../numeric/index.js";
import { type FilteredWalls, filterWalls, type OddPlace, type WallSettings } from "./growth-filter.js";
import { type Answer, type CourseShape, type GrowthKind, growthKinds } from "./growth-kinds.js";
import type { GrowthBelief, GrowthState, GrowthTraits } from "./growth-state.js";
import { oddPlaces } from "./odd-places.js";
import { type StateLayout, stateLayout } from "./state-layout.js";
import type { WallSeries } from "./wall-log.js";

/** One way the rig may be and what its walls leave open then. */
export interface GrowthCell {
  readonly shape: CourseShape;
  readonly answer: Answer;
  readonly weight: number;
  readonly traits: GrowthTraits;
  readonly state: GrowthState;
}

/** What walls logged so far, or none, say of the walls to come. */
export interface GrowthPosterior {
  readonly layout: StateLayout;
  readonly belief: GrowthBelief;
  readonly gaugeSd: number;
  readonly cells: readonly GrowthCell[];
  readonly odd: readonly OddPlace[];
  /** Layer before which the last wall of the log stands. */
  readonly before: number;
}

/** Structures this far below the likeliest in log chance are dropped. */
const NEGLIGIBLE = 7;
/** Cells of equal chance that stand for all. */
const CELLS = 200;
/** Points at which each structure is tried. */
const POINTS = 48;

/**
 * Averages over the ways walls may grow: shapes of the course that thirty layers cannot tell apart, answers to the
 * stand-off, and scatters, each with exact normal beliefs about growth, drop, first layers and departure.
 *
 * @param layers - that will be asked about, at least the log's own
 */
export function growthPosterior({
  series,
  belief,
  gaugeSd,
  layers,
}: {
  readonly series: readonly WallSeries[];
  readonly belief: GrowthBelief;
  readonly gaugeSd: number;
  readonly layers: number;
}): GrowthPosterior {
  const all = series.reduce((most, one) => Math.max(most, one.layers), layers) + 1;
  const layout = stateLayout(all);
  const kinds = growthKinds({ belief, layers: all, answers: series.some(({ rise }) => rise !== null) });
  const plain = { layout, belief, gaugeSd, odd: [] };
  const odd = oddPlaces(series, {
    settings: plain,
    kind: kinds.find(({ answer, shape }) => answer === "none" && shape === "hyperbolic")!,
  });
  const settings: WallSettings = { ...plain, odd };
  const likelihood = (kind: GrowthKind) => (z: Float64Array) =>
    filterWalls(series, kind.traits(z), settings).logLikelihood;
  // Structures share their unknowns: each search starts where the last one ended.
  const start = new Map<string, number>();
  const peaks = kinds.map((kind) => {
    const name = (unknown: string): string => (unknown === "slope" ? `${kind.answer} slope` : unknown);
    const peak = findPeak(
      likelihood(kind),
      kind.unknowns.map((unknown) => start.get(name(unknown)) ?? 0),
    );
    kind.unknowns.forEach((unknown, i) => {
      start.set(name(unknown), peak.at[i]!);
    });
    return { kind, peak, logChance: Math.log(kind.chance) + peak.logEvidence };
  });
  const best = peaks.reduce((most, { logChance }) => Math.max(most, logChance), Number.NEGATIVE_INFINITY);
  const raw = peaks
    .filter(({ logChance }) => logChance > best - NEGLIGIBLE)
    .flatMap(({ kind, peak }) => explored(kind, peak, likelihood(kind)));
  const highest = raw.reduce((most, { logWeight }) => Math.max(most, logWeight), Number.NEGATIVE_INFINITY);
  const weights = raw.map(({ logWeight }) => Math.exp(logWeight - highest));
  const chosen = new Map<number, number>();
  for (const place of resample(weights, CELLS)) chosen.set(place, (chosen.get(place) ?? 0) + 1 / CELLS);
  let before = 1;
  const cells = [...chosen].map(([place, weight]): GrowthCell => {
    const {
      kind: { shape, answer },
      traits,
    } = raw[place]!;
    const filtered: FilteredWalls = filterWalls(series, traits, settings);
    before = filtered.before;
    return { shape, answer, weight, traits, state: filtered.state };
  });
  return { layout, belief, gaugeSd, cells, odd, before };
}

function explored(kind: GrowthKind, peak: Peak, likelihood: (z: Float64Array) => number) {
  const { points, logWeights } = exploreAround(likelihood, peak, POINTS);
  return points.map((z, i) => ({
    kind,
    traits: kind.traits(z),
    logWeight: Math.log(kind.chance) + logWeights[i]!,
  }));
}
