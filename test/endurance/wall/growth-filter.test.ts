import { describe, expect, test } from "vitest";
import { filterWalls, type WallSettings } from "../../../lib/endurance/wall/growth-filter.js";
import { type GrowthBelief, type GrowthTraits, growthRow } from "../../../lib/endurance/wall/growth-state.js";
import { type WallReading, wallSeries } from "../../../lib/endurance/wall/index.js";
import { stateLayout } from "../../../lib/endurance/wall/state-layout.js";
import { choleskyInPlace, choleskySolve, randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";

const belief: GrowthBelief = {
  growth: { mean: 1.6, sd: 0.3 },
  drop: { mean: 0.2, sd: 0.15 },
  half: { median: 12, factor: 2.5 },
  hints: [{ layer: 6, growth: 1.7, sd: 0.2 }],
  standoff: 3,
  consumable: false,
};
const LAYERS = 30;
const layout = stateLayout(LAYERS + 1);
const traits = (slope: number): GrowthTraits => ({
  heated: Float64Array.from({ length: LAYERS + 1 }, (_, i) => i / (i + 12)),
  slope,
  layerSd: 0.06,
  rippleSd: 0.03,
  wallSd: 0.02,
  departureSd: 0.04,
});
const settings: WallSettings = { layout, belief, gaugeSd: 0.08, odd: [] };

/** Two walls with gaps: stand-offs, heights, a rise that changes. */
function log(seed: number): readonly WallReading[] {
  const random = randomStream(seed);
  return ["a", "b"].flatMap((wall) =>
    [1, 2, 4, 7, 8, 15, 22, 30].map((layer, i) => ({
      wall,
      layer,
      standoff: i % 3 === 2 ? null : 3 + 0.4 * random.normal(),
      height: i % 3 === 2 || layer === 30 ? 1.6 * layer + 0.3 * random.normal() : null,
      rise: layer < 8 ? 1.7 : 1.55,
      temperature: null,
    })),
  );
}

/**
 * The same likelihood the long way: every reading as a row over all unknowns, the scatter of each layer among them, and the
 * density of one large normal distribution.
 */
function longWay(readings: readonly WallReading[], slope: number): number {
  const own = traits(slope);
  const series = wallSeries(readings);
  const n = layout.size;
  const perWall = 3 + LAYERS + 1;
  const size = n + series.length * perWall;
  const variance = new Float64Array(size).fill(0);
  const mean = new Float64Array(size);
  mean[0] = belief.growth.mean;
  mean[1] = belief.drop.mean;
  const prior = new Float64Array(size * size);
  const put = (i: number, sd: number): void => {
    prior[i * size + i] = sd * sd;
    variance[i] = sd * sd;
  };
  put(0, belief.growth.sd);
  put(1, belief.drop.sd);
  [0.2, 0.08, 0.03].forEach((sd, i) => {
    put(2 + i, sd * belief.growth.mean);
  });
  layout.knots.forEach((a, i) => {
    layout.knots.forEach((b, j) => {
      prior[(5 + i) * size + 5 + j] = own.departureSd ** 2 * Math.log(Math.min(a, b) / 4);
    });
  });
  const rows: { row: Float64Array; value: number; noise: number }[] = [];
  const growth = (layer: number): Float64Array => {
    const row = new Float64Array(size);
    growthRow(layout, layer, own.heated).forEach((part, i) => {
      if (i < layout.wall) row[i] = part;
    });
    return row;
  };
  for (const { layer, growth: value, sd } of belief.hints)
    rows.push({ row: growth(layer), value, noise: sd * sd });
  series.forEach(({ readings: read, rise }, w) => {
    const at = n + w * perWall;
    put(at, own.wallSd);
    put(at + 1, 0.03 * belief.drop.mean);
    put(at + 2, 3);
    mean[at + 2] = belief.standoff;
    for (let layer = 1; layer <= LAYERS; layer++) put(at + 2 + layer, own.layerSd);
    // Stand-off before each layer as a row and a constant.
    let row = new Float64Array(size);
    row[at + 2] = 1;
    let constant = 0;
    const before: { row: Float64Array; constant: number }[] = [];
    for (let layer = 1; layer <= LAYERS + 1; layer++) {
      before.push({ row, constant });
      if (layer > LAYERS) break;
      const next = new Float64Array(size);
      const grown = growth(layer);
      for (let i = 0; i < size; i++) next[i] = (1 - slope) * row[i]! - grown[i]!;
      next[at]! -= 1;
      next[at + 1]! += own.heated[layer - 1]!;
      next[at + 2 + layer]! += 1;
      constant = (1 - slope) * constant + slope * belief.standoff + rise![layer - 1]!;
      row = next;
    }
    for (const { kind, layer, value } of read) {
      const noise = settings.gaugeSd ** 2 + own.rippleSd ** 2;
      if (kind === "standoff") {
        const found = before[layer - 1]!;
        rows.push({ row: found.row, value: value - found.constant, noise });
      } else {
        const found = before[layer]!;
        const risen = rise!.slice(0, layer).reduce((sum, one) => sum + one, 0);
        const height = Float64Array.from(found.row, (part) => -part);
        height[at + 2]! += 1;
        rows.push({ row: height, value: value - risen + found.constant, noise });
      }
    }
  });
  const m = rows.length;
  const covariance = new Float64Array(m * m);
  const off = new Float64Array(m);
  rows.forEach(({ row, value, noise }, i) => {
    off[i] = value - row.reduce((sum, part, k) => sum + part * mean[k]!, 0);
    const spread = new Float64Array(size);
    for (let k = 0; k < size; k++) {
      if (row[k] === 0) continue;
      for (let l = 0; l < size; l++) spread[l]! += row[k]! * prior[k * size + l]!;
    }
    rows.forEach((other, j) => {
      covariance[i * m + j] = other.row.reduce(
        (sum, part, k) => sum + part * spread[k]!,
        i === j ? noise : 0,
      );
    });
  });
  choleskyInPlace(covariance, m);
  let logDeterminant = 0;
  for (let i = 0; i < m; i++) logDeterminant += Math.log(covariance[i * m + i]!);
  const solved = off.slice();
  choleskySolve(covariance, m, solved);
  const squares = off.reduce((sum, one, i) => sum + one * solved[i]!, 0);
  return -0.5 * (m * Math.log(2 * Math.PI) + squares) - logDeterminant;
}

describe("filterWalls", () => {
  test.each([
    [0, 1],
    [0.3, 2],
    [-0.05, 3],
  ])("has the likelihood of one normal distribution over all readings, slope %f", (slope, seed) => {
    const readings = log(seed);
    const { logLikelihood } = filterWalls(wallSeries(readings), traits(slope), settings);
    expectDigits(logLikelihood, longWay(readings, slope), 8);
  });

  test("does not mind the order of the rows of a wall", () => {
    const readings = log(4);
    const found = filterWalls(wallSeries(readings), traits(0), settings);
    const turned = filterWalls(
      wallSeries([...readings].reverse().sort((a, b) => a.wall!.localeCompare(b.wall!))),
      traits(0),
      settings,
    );
    expect(turned.logLikelihood).toBe(found.logLikelihood);
  });

  test("stays finite and sound over 500 layers read at each", () => {
    const many = 500;
    const random = randomStream(5);
    let standoff = 3;
    const readings = Array.from({ length: many }, (_, i): WallReading => {
      const read = standoff;
      standoff += 1.5 - (1.5 + 0.06 * random.normal());
      return { layer: i + 1, standoff: read, height: null, rise: 1.5, temperature: null };
    });
    const long = stateLayout(many + 1);
    const own = { ...traits(0), heated: Float64Array.from({ length: many + 1 }, (_, i) => i / (i + 12)) };
    const { logLikelihood, state } = filterWalls(wallSeries(readings), own, { ...settings, layout: long });
    expect(logLikelihood).toBeGreaterThan(0);
    for (let i = 0; i < long.size; i++) expect(state.covariance[i * long.size + i]!).toBeGreaterThan(-1e-12);
  });
});
