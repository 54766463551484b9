import type { CoolingReading } from "../../../lib/models/decay/index.js";
import type { RandomStream } from "../../../lib/numeric/index.js";

/** A wall as it cools after a layer, its readings, and what the sensor shows without noise. */
export interface CooledWall {
  readonly readings: readonly CoolingReading[];
  /** degC, after each step of `every` seconds, from arc-off on. */
  readonly shown: readonly number[];
  readonly every: number;
  /** degC, of the air. */
  readonly room: number;
}

const between = (random: RandomStream, low: number, high: number): number =>
  low + (high - low) * random.uniform();

/** Stefan and Boltzmann's constant, W/(mm2 K4). */
const SIGMA = 5.67e-14;
/** Nodes over the height of the wall. */
const NODES = 24;

/** Conductivity W/(mm K), heat capacity J/(mm3 K): nickel and stainless, carbon steel, bronze; handbook ranges, from memory. */
const metals = [
  [0.022, 0.0046],
  [0.032, 0.0048],
  [0.08, 0.0037],
] as const;

/**
 * A fin by finite differences, explicit in time: conduction along the height, convection and radiation from both
 * faces and the top, a base plate of its own mass and losses. The top layer starts near melting, the rest at an
 * interpass temperature that rises towards the top. A sensor somewhere on the wall lags, scatters, counts in whole
 * kelvin or not, and may read nothing below 270 degC.
 */
export function cooledWall(
  random: RandomStream,
  options: { readonly duration: number; readonly every: number },
): CooledWall {
  const { duration, every } = options;
  const [conductivity, capacity] = metals[random.integer(0, metals.length - 1)]!;
  const height = between(random, 15, 90);
  const thickness = between(random, 4, 10);
  const room = between(random, 15, 30);
  const convection = between(random, 8, 40) * 1e-6;
  const emissivity = between(random, 0.4, 0.9);
  const base = between(random, room, room + 250);
  const interpass = Math.max(base, between(random, 100, 500));
  const layer = between(random, 1.5, 3);
  const dz = height / NODES;
  const wall = Array.from({ length: NODES }, (_, i) => base + ((interpass - base) * (i + 0.5)) / NODES);
  // The layer laid last, and as much again half molten under it.
  for (let i = 0; i < NODES; i++) {
    const below = height - (i + 0.5) * dz;
    wall[i] = wall[i]! + (between(random, 1250, 1350) - wall[i]!) * Math.exp(-((below / (1.3 * layer)) ** 2));
  }
  let plate = base;
  const plateMass = between(random, 0.5, 30) * height * thickness * capacity;
  const plateLoss = between(random, 0, 4e-3) * thickness;
  const loss = (t: number): number =>
    convection * (t - room) + emissivity * SIGMA * ((t + 273.15) ** 4 - (room + 273.15) ** 4);
  const dt = Math.min(0.2 * ((dz * dz * capacity) / conductivity), every / 4);
  const spot = Math.min(NODES - 1, Math.floor(NODES * between(random, 0.5, 1)));
  const lag = between(random, 0, 2);
  let shows = wall[spot]!;
  const shown: number[] = [shows];
  let time = 0;
  const flow = new Float64Array(NODES + 1);
  for (let k = 1; k * every <= duration; k++) {
    while (time < k * every - 1e-9) {
      const step = Math.min(dt, k * every - time);
      // Per mm of wall length, W: upwards into each node from the one below, the plate first.
      flow[0] = (conductivity * thickness * (plate - wall[0]!)) / (dz / 2);
      for (let i = 1; i < NODES; i++) flow[i] = (conductivity * thickness * (wall[i - 1]! - wall[i]!)) / dz;
      flow[NODES] = thickness * loss(wall[NODES - 1]!);
      for (let i = 0; i < NODES; i++) {
        const net = flow[i]! - flow[i + 1]! - 2 * dz * loss(wall[i]!);
        wall[i]! += (step * net) / (dz * thickness * capacity);
      }
      plate -= (step * (flow[0]! + plateLoss * (plate - room))) / plateMass;
      shows += (wall[spot]! - shows) * (1 - Math.exp(-step / Math.max(lag, 1e-3)));
      time += step;
    }
    shown.push(shows);
  }
  const scatter = between(random, 0.2, 2);
  const whole = random.uniform() < 0.5;
  const blind = random.uniform() < 0.3 ? 270 : Number.NEGATIVE_INFINITY;
  const readings = shown.flatMap((value, k) => {
    const read = value + scatter * random.normal();
    return read < blind ? [] : [{ time: k * every, temperature: whole ? Math.round(read) : read }];
  });
  return { readings, shown, every, room };
}

/** Time at which a wall first shows a level, between steps; undefined where it does not. */
export function timeShown({ shown, every }: CooledWall, level: number, from = 0): number | undefined {
  const k = shown.findIndex((value, i) => i > from && value <= level);
  if (k < 0) return undefined;
  return every * (k - (level - shown[k]!) / (shown[k - 1]! - shown[k]!));
}
