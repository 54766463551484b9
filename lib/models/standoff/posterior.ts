import { exploreAround, findPeak, resample } from "../../numeric/index.js";
import { type FilterSettings, filterSeries } from "./filter.js";
import { type Heating, type Kind, type Regulation, rigKinds, type ScatterKind } from "./kinds.js";
import type { StationSeries } from "./layer-log.js";
import { meanRoom, slopeRoom } from "./slope-room.js";
import type { RigTraits } from "./traits.js";

/** Belief about the growth slope before the log: normal. */
export interface SlopePrior {
  readonly mean: number;
  /** Anything above 1.5, Infinity too, counts as 1.5: wide enough for every slope that leaves a stand-off. */
  readonly sd: number;
}

/** Chance of each structure after the log. */
export interface KindChance {
  readonly regulation: Regulation;
  readonly heating: Heating;
  readonly scatter: ScatterKind;
  readonly chance: number;
}

/** What the log leaves possible. */
export interface DriftPosterior {
  readonly kinds: readonly KindChance[];
  /** Rigs of equal chance, structure by structure. */
  readonly rigs: readonly RigTraits[];
  /** The same for what is to come: those that forecasts draw. */
  readonly ahead: readonly RigTraits[];
  /** Belief about the growth before the log, mm. */
  readonly growth: { readonly mean: number; readonly sd: number };
}

/** A rig and its chance. */
export interface WeighedRig {
  readonly traits: RigTraits;
  readonly weight: number;
  /** Its chance for what is to come, see {@link FORECAST_CHANCES}. */
  readonly weightAhead: number;
}

/** Structures this far below the likeliest in log chance are not looked at more closely. */
const NEGLIGIBLE = 8;

/**
 * Share of the slope's correction, averaged over a structure, that is kept from moving the structure's chance. With all
 * of it, logs of rigs without regulation lower the chance of none below what it was before any log, on average, which no
 * belief in agreement with itself does; with none of it, rigs that regulate are hardly ever recognised.
 */
const MOVED = 0.5;

/** Readings below which what is to come goes by the chances of what was: {@link FORECAST_CHANCES} were set on logs of 30 layers. */
const FEWEST_AHEAD = 15;

/** Explores every structure by importance sampling. */
export function driftPosterior({
  series,
  settings,
  layerHeight,
  points,
  slopePrior,
}: {
  readonly series: readonly StationSeries[];
  readonly settings: FilterSettings;
  readonly layerHeight: number;
  readonly points: number;
  readonly slopePrior: SlopePrior | undefined;
}): { readonly kinds: readonly KindChance[]; readonly rigs: readonly WeighedRig[] } {
  const room = slopeRoom(series);
  const likelihood = (kind: Kind, usual: number) => (z: Float64Array) => {
    const traits = kind.traits(z);
    let sum = room(traits.slope) - usual;
    for (const one of series) sum += filterSeries(one, traits, settings).logLikelihood;
    return sum;
  };
  // Structures share their unknowns: each search starts where the last one ended.
  const start = new Map<string, number>();
  const peaks = rigKinds(layerHeight, slopePrior).map((kind) => {
    const usual = MOVED * meanRoom(kind, room);
    const peak = findPeak(
      likelihood(kind, usual),
      kind.unknowns.map((name) => start.get(`${kind.regulation}/${name}`) ?? start.get(name) ?? 0),
    );
    kind.unknowns.forEach((name, i) => {
      start.set(name === "slope" ? `${kind.regulation}/${name}` : name, peak.at[i]!);
    });
    return {
      kind,
      usual,
      peak,
      logChance: Math.log(Math.max(kind.chance, kind.chanceAhead)) + peak.logEvidence,
    };
  });
  const best = peaks.reduce((most, { logChance }) => Math.max(most, logChance), Number.NEGATIVE_INFINITY);
  const explored = peaks
    .filter(({ logChance }) => logChance > best - NEGLIGIBLE)
    .map(({ kind, usual, peak }) => ({
      kind,
      usual,
      found: exploreAround(likelihood(kind, usual), peak, points),
    }));
  const highest = explored.reduce(
    (most, { found }) => found.logWeights.reduce((a, b) => Math.max(a, b), most),
    Number.NEGATIVE_INFINITY,
  );
  const measured = series.reduce((sum, { standoff }) => sum + standoff.filter((s) => s !== null).length, 0);
  const isShort = measured < FEWEST_AHEAD;
  const raw = explored.flatMap(({ kind, usual, found }) =>
    found.points.map((z, i) => {
      const traits = kind.traits(z);
      const evidence = Math.exp(found.logWeights[i]! - highest);
      return {
        kind,
        traits,
        weight: kind.chance * evidence,
        weightAhead: isShort
          ? kind.chance * evidence
          : kind.chanceAhead * evidence * Math.exp(usual - room(traits.slope)),
      };
    }),
  );
  const total = raw.reduce((sum, { weight }) => sum + weight, 0);
  const totalAhead = raw.reduce((sum, { weightAhead }) => sum + weightAhead, 0);
  const rigs = raw.map(({ traits, weight, weightAhead }) => ({
    traits,
    weight: weight / total,
    weightAhead: weightAhead / totalAhead,
  }));
  const kinds = explored.map(({ kind }) => ({
    regulation: kind.regulation,
    heating: kind.heating,
    scatter: kind.scatter,
    chance: raw.reduce((sum, one) => (one.kind === kind ? sum + one.weight : sum), 0) / total,
  }));
  return { kinds, rigs };
}

/** Rigs of equal chance that stand for weighed ones. */
export function equalRigs(
  rigs: readonly WeighedRig[],
  count: number,
  by: "weight" | "weightAhead",
): readonly RigTraits[] {
  const weights = rigs.map((rig) => rig[by]);
  return resample(weights, count).map((place) => rigs[place]!.traits);
}

/** Quantile of a weighed belief; between its values where it is spread, at one where it is heaped. */
export function weighedQuantile(
  values: readonly number[],
  weights: readonly number[],
  chance: number,
): number {
  const order = values.map((_, i) => i).sort((a, b) => values[a]! - values[b]!);
  let below = 0;
  let last = values[order[0]!]!;
  let lastMiddle = 0;
  for (const i of order) {
    const middle = below + weights[i]! / 2;
    if (middle >= chance) {
      const share = middle === lastMiddle ? 1 : (chance - lastMiddle) / (middle - lastMiddle);
      return last + share * (values[i]! - last);
    }
    below += weights[i]!;
    last = values[i]!;
    lastMiddle = middle;
  }
  return last;
}
