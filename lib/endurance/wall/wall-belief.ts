import {
  mean,
  median,
  minimiseScalar,
  normalQuantile,
  sobolPoints,
  standardDeviation,
} from "../../numeric/index.js";
import type { AssumptionBook } from "../assumptions/index.js";
import type { GrowthBelief } from "./growth-state.js";
import { heatBuildUp, type WallHeat } from "./heat-build-up.js";
import type { WallReading } from "./wall-log.js";
import type { WallPhysics } from "./wall-physics.js";

/** Energy balances drawn for the belief about the drop. */
const BALANCES = 24;
/** Doubts about an energy balance: factors of one standard deviation, and sds. Common practice, no source. */
const DOUBT = { heat: 1.25, loss: 1.5, conductivity: 1.15, baseReturn: 0.3, exponent: 0.15 } as const;
/** What the melt isotherm does not tell of the drop, as a share of the growth; common practice, no source. */
const DROP_SD = 0.06;
/** Share of the way to melting beyond which a wall sags and nobody builds on; common practice, no source. */
export const HOTTEST = 0.6;
/** Half of the drop comes within a few layers at the least. */
const LEAST_HALF = 3;
const HALF_FACTOR = 2.5;
/** Layer of the growth that mass balance tells: the first ones are apart. */
const SETTLED_FIRST = 3;

/**
 * What is believed of the growth before any wall: its size by mass balance or preset, its drop by energy balances that
 * differ as much as is not known of the rig.
 */
export function wallBelief({
  physics,
  layers,
  interpass,
  standoff,
  hints,
}: {
  readonly physics: WallPhysics;
  readonly layers: number;
  readonly interpass: number | undefined;
  readonly standoff: number;
  readonly hints: GrowthBelief["hints"];
}): GrowthBelief {
  const { growth, growthLogSd, heat, meltTemperature, growthExponent, consumable } = physics;
  const horizon = Math.max(2 * SETTLED_FIRST, layers);
  const courses = sobolPoints(BALANCES, 5, 1).map((row) => {
    const [a, b, c, d, e] = Array.from(row, (u) => normalQuantile(u)) as [
      number,
      number,
      number,
      number,
      number,
    ];
    const wall: WallHeat = {
      ...heat,
      heatInput: heat.heatInput * DOUBT.heat ** a,
      surfaceLoss: heat.surfaceLoss * DOUBT.loss ** b,
      conductivity: Math.min(0.5, heat.conductivity * DOUBT.conductivity ** c),
      baseReturn: Math.max(-1, Math.min(1, heat.baseReturn + DOUBT.baseReturn * d)),
    };
    const exponent = Math.max(0, growthExponent + DOUBT.exponent * e);
    const hottest = Math.min(
      interpass ?? Number.POSITIVE_INFINITY,
      heat.surroundings + HOTTEST * (meltTemperature - heat.surroundings),
    );
    const left = heatBuildUp(wall, horizon).map(
      ({ temperature }) => Math.max(0.05, meltTemperature - Math.min(hottest, temperature)) ** exponent,
    );
    const drops = left.map((value) => 1 - value / left[SETTLED_FIRST - 1]!);
    const last = drops.at(-1)!;
    const half = drops.findIndex((drop) => drop >= last / 2) + 1;
    return { drop: last, half: Math.max(LEAST_HALF, half) };
  });
  const drops = courses.map(({ drop }) => drop);
  return {
    growth: { mean: growth, sd: growthLogSd * growth },
    drop: { mean: growth * mean(drops), sd: growth * Math.hypot(standardDeviation(drops), DROP_SD) },
    half: { median: median(courses.map(({ half }) => half)), factor: HALF_FACTOR },
    hints,
    standoff,
    consumable,
  };
}

/** Doubt about the heat of an energy balance before a thermometer, as a factor. */
const HEAT_FACTOR = 1.35;
/** Sd of a temperature measured between layers, as a share of its rise; it varies along the layer. */
const THERMOMETER = 0.1;

/**
 * Factor on the heat input that makes the energy balance agree with temperatures measured before layers; 1 where none was.
 */
export function heatFactor(heat: WallHeat, readings: readonly WallReading[], book: AssumptionBook): number {
  const measured = readings.flatMap(({ layer, temperature }) =>
    temperature === null || layer < 2 ? [] : [{ layer, temperature }],
  );
  const last = measured.reduce((most, { layer }) => Math.max(most, layer), 1);
  const off = (z: number): number => {
    const foreseen = heatBuildUp({ ...heat, heatInput: heat.heatInput * HEAT_FACTOR ** z }, last);
    return measured.reduce((sum, { layer, temperature }) => {
      const rise = foreseen[layer - 1]!.temperature - heat.surroundings;
      return sum + ((temperature - heat.surroundings - rise) / (THERMOMETER * Math.max(20, rise))) ** 2;
    }, z * z);
  };
  const fitted = measured.length === 0 ? 0 : minimiseScalar({ f: off, lower: -4, upper: 4 }).x;
  return book.take({
    name: "heat_factor",
    value: HEAT_FACTOR ** fitted,
    unit: "1",
    origin: measured.length === 0 ? "none measured" : `log, ${measured.length} temperatures`,
    note: "on the energy balance",
    bounds: { above: 0, max: 10 },
  });
}
