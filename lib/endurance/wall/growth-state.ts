import { ANCHOR, DROP, FIRST, FIRST_SDS, GROWTH, KNOTS, type StateLayout } from "./state-layout.js";

/** Belief about the growth of a rig's layers before any wall was logged; lengths in mm. */
export interface GrowthBelief {
  /** Growth of the first steady layers, from mass balance, a preset or coupons. */
  readonly growth: { readonly mean: number; readonly sd: number };
  /** How much less a layer grows once all is as hot as it gets, from energy balance. */
  readonly drop: { readonly mean: number; readonly sd: number };
  /** Layers within which half of that comes, and the factor of one standard deviation. */
  readonly half: { readonly median: number; readonly factor: number };
  /** Growths known from elsewhere, such as from the study's own coupons of first layers and walls. */
  readonly hints: readonly { readonly layer: number; readonly growth: number; readonly sd: number }[];
  /** Stand-off that is held, at which the growth is meant. */
  readonly standoff: number;
  /** Whether the feed of a consumable electrode sets the current, which regulates the stand-off. */
  readonly consumable: boolean;
}

/** One way a rig's walls may grow; everything but the state. */
export interface GrowthTraits {
  /** Share of the drop that has come by each layer, from layer 1 on; 0 at first. */
  readonly heated: Float64Array;
  /** kappa, mm of growth per mm of stand-off. */
  readonly slope: number;
  /** Independent scatter of a layer, sd, mm. */
  readonly layerSd: number;
  /** Scatter of readings beyond the gauge's, sd, mm. */
  readonly rippleSd: number;
  /** From wall to wall, sd, mm per layer. */
  readonly wallSd: number;
  /** Departure of the growth from its course, sd per unit of ln layer, mm. */
  readonly departureSd: number;
}

/** Normal belief about the unknowns. */
export interface GrowthState {
  readonly mean: Float64Array;
  /** Row by row, both triangles. */
  readonly covariance: Float64Array;
}

/** Sd of the first stand-off of a wall that is not measured, and of a wall's own drop as a share of the drop. */
const START_SD = 3;
const WALL_DROP = 0.03;

/** Belief before any reading, with no wall begun. */
export function openingState(layout: StateLayout, belief: GrowthBelief, traits: GrowthTraits): GrowthState {
  const { size, knots } = layout;
  const mean = new Float64Array(size);
  const covariance = new Float64Array(size * size);
  mean[GROWTH] = belief.growth.mean;
  mean[DROP] = belief.drop.mean;
  covariance[GROWTH * size + GROWTH] = belief.growth.sd ** 2;
  covariance[DROP * size + DROP] = belief.drop.sd ** 2;
  FIRST_SDS.forEach((sd, i) => {
    covariance[(FIRST + i) * (size + 1)] = (sd * belief.growth.mean) ** 2;
  });
  knots.forEach((a, i) => {
    knots.forEach((b, j) => {
      covariance[(KNOTS + i) * size + KNOTS + j] =
        traits.departureSd ** 2 * Math.log(Math.min(a, b) / ANCHOR);
    });
  });
  return { mean, covariance };
}

/** Forgets the last wall and begins one: its own growth, and a first stand-off near the one that is held. */
export function beginWall(
  state: GrowthState,
  layout: StateLayout,
  {
    traits,
    drop,
    standoff,
    startSd = START_SD,
  }: {
    readonly traits: GrowthTraits;
    /** Usual drop, mm. */
    readonly drop: number;
    readonly standoff: number;
    readonly startSd?: number;
  },
): void {
  const { size, wall, wallDrop, start, standoff: now } = layout;
  const { mean, covariance } = state;
  for (let i = wall; i < size; i++) {
    mean[i] = 0;
    for (let j = 0; j < size; j++) {
      covariance[i * size + j] = 0;
      covariance[j * size + i] = 0;
    }
  }
  covariance[wall * size + wall] = traits.wallSd ** 2;
  covariance[wallDrop * size + wallDrop] = (WALL_DROP * drop) ** 2;
  mean[start] = standoff;
  mean[now] = standoff;
  for (const i of [start, now]) for (const j of [start, now]) covariance[i * size + j] = startSd ** 2;
}

/** Growth of a layer at the stand-off that is held: its parts as a row over all unknowns. */
export function growthRow(layout: StateLayout, layer: number, heated: Float64Array): Float64Array {
  const row = new Float64Array(layout.size);
  addGrowth(row, layout, { layer, heated, weight: 1 });
  return row;
}

function addGrowth(
  row: Float64Array,
  { plan, wallDrop }: StateLayout,
  {
    layer,
    heated,
    weight,
  }: { readonly layer: number; readonly heated: Float64Array; readonly weight: number },
): void {
  const { places, parts } = plan[layer - 1]!;
  for (let a = 0; a < places.length; a++) row[places[a]!]! += weight * parts[a]!;
  const share = weight * heated[layer - 1]!;
  row[DROP]! -= share;
  row[wallDrop]! -= share;
}

/** Layers laid one after the other, without a reading between. */
export interface LaidLayers {
  /** First layer and the one after the last. */
  readonly from: number;
  readonly to: number;
  /** After a layer, mm. */
  readonly riseAfter: (layer: number) => number;
  /** Stand-off at which the growth is meant, mm. */
  readonly reference: number;
  readonly traits: Pick<GrowthTraits, "heated" | "slope" | "layerSd">;
  /** Factor on the growth, from a lever. Default 1. */
  readonly factor?: number;
}

/** Lays layers, all in one step: s' = s + rise - h - kappa (s - reference) + scatter, one after the other. */
export function layLayers(state: GrowthState, layout: StateLayout, laid: LaidLayers): void {
  const { from, to, riseAfter, reference, traits, factor = 1 } = laid;
  if (to <= from) return;
  const { size, standoff: s } = layout;
  const { mean, covariance: p } = state;
  const keep = 1 - traits.slope;
  const row = new Float64Array(size);
  let [weight, gained, variance] = [1, 0, 0];
  for (let layer = to - 1; layer >= from; layer--) {
    addGrowth(row, layout, { layer, heated: traits.heated, weight: weight * factor });
    gained += weight * (riseAfter(layer) + traits.slope * reference);
    variance += weight * weight;
    weight *= keep;
  }
  const { places, product } = timesCovariance(state, size, row);
  let [grown, shared, own] = [0, 0, 0];
  for (const i of places) {
    grown += row[i]! * mean[i]!;
    shared += row[i]! * p[s * size + i]!;
    own += row[i]! * product[i]!;
  }
  mean[s] = weight * mean[s]! + gained - grown;
  const before = p[s * size + s]!;
  for (let j = 0; j < size; j++) {
    if (j === s) continue;
    const value = weight * p[s * size + j]! - product[j]!;
    p[s * size + j] = value;
    p[j * size + s] = value;
  }
  p[s * size + s] = weight * weight * before - 2 * weight * shared + own + variance * traits.layerSd ** 2;
}

/** Covariance times a row that is mostly zero. */
function timesCovariance({ covariance }: GrowthState, size: number, row: Float64Array) {
  const places: number[] = [];
  const product = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    const part = row[i]!;
    if (part === 0) continue;
    places.push(i);
    const at = i * size;
    for (let j = 0; j < size; j++) product[j]! += part * covariance[at + j]!;
  }
  return { places, product };
}

/** Mean and variance of a sum of unknowns. */
export function sumOf(
  state: GrowthState,
  size: number,
  row: Float64Array,
): { readonly mean: number; readonly variance: number } {
  const { places, product } = timesCovariance(state, size, row);
  let [mean, variance] = [0, 0];
  for (const i of places) {
    mean += row[i]! * state.mean[i]!;
    variance += row[i]! * product[i]!;
  }
  return { mean, variance };
}

/**
 * Takes a reading in: value = row of parts times unknowns + noise.
 *
 * @returns its log likelihood, and how many standard deviations it lay off
 */
export function takeReading(
  state: GrowthState,
  size: number,
  { row, value, variance }: { readonly row: Float64Array; readonly value: number; readonly variance: number },
): { readonly logLikelihood: number; readonly surprise: number } {
  const { mean, covariance: p } = state;
  const { places, product } = timesCovariance(state, size, row);
  let [off, total] = [value, variance];
  for (const i of places) {
    off -= row[i]! * mean[i]!;
    total += row[i]! * product[i]!;
  }
  for (let i = 0; i < size; i++) {
    const share = product[i]! / total;
    if (share === 0) continue;
    mean[i]! += share * off;
    const at = i * size;
    for (let j = 0; j < size; j++) p[at + j]! -= share * product[j]!;
  }
  return {
    logLikelihood: -0.5 * (Math.log(2 * Math.PI * total) + (off * off) / total),
    surprise: off / Math.sqrt(total),
  };
}

/** A copy that can be carried on by itself. */
export const copyState = ({ mean, covariance }: GrowthState): GrowthState => ({
  mean: mean.slice(),
  covariance: covariance.slice(),
});
