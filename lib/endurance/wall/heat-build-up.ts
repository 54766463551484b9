import { requireCount, requireNumber } from "../../errors/index.js";
import { findRoot } from "../../numeric/index.js";
import { dwellTime } from "../../process/index.js";

/** What heats and cools a wall while it grows. */
export interface WallHeat {
  /** Q, J per mm of bead, with the physical efficiency. */
  readonly heatInput: number;
  /** Arc time of a layer, s. */
  readonly arcTime: number;
  /** Wait before every layer, s. */
  readonly dwell: number;
  /** g, mm. */
  readonly thickness: number;
  /** mm per layer. */
  readonly layerHeight: number;
  /** k, W/(mm K). */
  readonly conductivity: number;
  /** rho c, J/(mm3 K). */
  readonly volumetricHeat: number;
  /** degC of base and air. */
  readonly surroundings: number;
  /** By convection from each face, W/(m2 K). */
  readonly surfaceLoss: number;
  /** Of the faces, 0 to 1. */
  readonly emissivity: number;
  /** What comes back of heat that reaches the base: -1 from one held cold, 0 from one like the wall, 1 from none. */
  readonly baseReturn: number;
  /** degC, above which no layer begins; none where it is left out. */
  readonly interpass?: number;
  /** Of the top after arc-off, s, from a logged cooling curve; takes the place of the energy balance for the dwell. */
  readonly timeConstant?: number;
}

/** A layer as it begins. */
export interface LayerHeat {
  /** degC at the place where the arc comes by. */
  readonly temperature: number;
  /** s before the layer, for the interpass temperature and beside the fixed one. */
  readonly dwell: number;
}

/** W/(m2 K4). */
const STEFAN_BOLTZMANN = 5.670374419e-8;
const KELVIN = 273.15;
/** Echoes between top and base, and heat older than this share, are left out. */
const ECHOES = 12;
const SPENT = 1e-4;
/** Steps in which a dwell is sought, and the longest one, s. */
const BISECTIONS = 24;
const LONGEST_DWELL = 7200;

/**
 * Temperature of the top of a growing wall as each layer begins, and the dwell an interpass temperature asks for.
 *
 *     T_k = T0 + sum_j Q/(rho c g) G(t_k - t_j, depth_j) exp(-lambda (t_k - t_j)),  lambda = 2 (h + h_rad)/(rho c g)
 *     G = 2 sum_n r^n [K(2 n H + d) + r K(2 (n + 1) H - d)],  K(x) = exp(-x^2/(4 a t)) / sqrt(4 pi a t)
 *
 * Each layer is a plane of heat let go where the arc came by; the top keeps it in, the base sends the share r back;
 * radiation is taken straight at the temperature found. One dimension, up the wall: heat along the wall and
 * at its ends is left out, so it holds for walls many pool lengths long. Expect +-30 %; a thermometer knows better.
 *
 * @returns layer by layer from 1
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming it
 * @source Carslaw and Jaeger, Conduction of Heat in Solids (1959), sections 10.3 and 14.3 (plane sources, images), from memory
 */
export function heatBuildUp(wall: WallHeat, layers: number): readonly LayerHeat[] {
  requireWall(wall);
  requireCount("layers", layers, { min: 1, max: 5000 });
  const { surroundings, interpass, dwell, arcTime } = wall;
  const laid: number[] = [];
  const result: LayerHeat[] = [];
  let time = 0;
  for (let layer = 1; layer <= layers; layer++) {
    const at = (moment: number): number => topTemperature({ wall, laid, time: moment });
    let start = layer === 1 ? 0 : time + arcTime + dwell;
    let wait = layer === 1 ? 0 : dwell;
    let temperature = layer === 1 ? surroundings : at(start);
    if (interpass !== undefined && temperature > interpass) {
      const extra = waitFor({ wall, interpass, temperature, at: (after) => at(start + after) });
      wait += extra;
      start += extra;
      temperature = Math.min(interpass, at(start));
    }
    result.push({ temperature, dwell: wait });
    laid.push(start);
    time = start;
  }
  return result;
}

/** Wait beyond the fixed dwell until the top is at the interpass temperature, s. */
function waitFor({
  wall: { timeConstant, surroundings },
  interpass,
  temperature,
  at,
}: {
  readonly wall: WallHeat;
  readonly interpass: number;
  readonly temperature: number;
  readonly at: (after: number) => number;
}): number {
  if (timeConstant !== undefined)
    return dwellTime({ from: temperature, to: interpass, surroundings, timeConstant });
  let [low, high] = [0, 10];
  while (high < LONGEST_DWELL && at(high) > interpass) [low, high] = [high, 2 * high];
  for (let i = 0; i < BISECTIONS; i++) {
    const middle = (low + high) / 2;
    if (at(middle) > interpass) low = middle;
    else high = middle;
  }
  return Math.min(high, LONGEST_DWELL);
}

/** degC within which a temperature is sought. */
const CLOSE = 0.1;

/**
 * degC of the top at a time, from the planes of heat laid before. The hotter it is the more it radiates: the temperature
 * is the one that agrees with its own loss. Taking the loss from the layer before instead swings between hot and cold.
 */
function topTemperature(top: {
  readonly wall: WallHeat;
  readonly laid: readonly number[];
  readonly time: number;
}): number {
  const { surroundings } = top.wall;
  const hottest = temperatureWith(top, surroundings);
  if (hottest - surroundings < CLOSE) return hottest;
  const f = (about: number): number => temperatureWith(top, about) - about;
  // Heat left out as spent may be heat the base took away: a little hotter is possible.
  return findRoot({ f, lower: surroundings, upper: hottest + 1, tolerance: CLOSE }).x;
}

/** The same, with radiation taken straight at a temperature, degC. */
function temperatureWith(
  { wall, laid, time }: { readonly wall: WallHeat; readonly laid: readonly number[]; readonly time: number },
  about: number,
): number {
  const { heatInput, thickness, layerHeight, conductivity, volumetricHeat, surroundings, baseReturn } = wall;
  const diffusivity = conductivity / volumetricHeat;
  const strength = heatInput / (volumetricHeat * thickness);
  const [hot, cold] = [about + KELVIN, surroundings + KELVIN];
  // (T^4 - Ta^4)/(T - Ta)
  const radiated = wall.emissivity * STEFAN_BOLTZMANN * (hot * hot + cold * cold) * (hot + cold);
  const loss = (2e-6 * (wall.surfaceLoss + radiated)) / (volumetricHeat * thickness);
  const height = laid.length * layerHeight;
  let rise = 0;
  for (let j = laid.length - 1; j >= 0; j--) {
    const since = time - laid[j]!;
    const left = Math.exp(-loss * since);
    const spread = 4 * diffusivity * since;
    const depth = (laid.length - j - 0.5) * layerHeight;
    const part =
      (2 * strength * left * echoes({ spread, height, depth, share: baseReturn })) /
      Math.sqrt(Math.PI * spread);
    rise += part;
    if (left < SPENT) break;
  }
  return surroundings + Math.max(0, rise);
}

/** The sum over ways from a plane to the top: straight, and by the base. */
function echoes({
  spread,
  height,
  depth,
  share,
}: {
  readonly spread: number;
  readonly height: number;
  readonly depth: number;
  readonly share: number;
}): number {
  let [sum, weight] = [0, 1];
  for (let n = 0; n < ECHOES; n++) {
    const out = 2 * n * height + depth;
    const back = 2 * (n + 1) * height - depth;
    if (out * out > 30 * spread) break;
    sum += weight * (Math.exp((-out * out) / spread) + share * Math.exp((-back * back) / spread));
    weight *= share;
  }
  return sum;
}

function requireWall(wall: WallHeat): void {
  requireNumber("heat input", wall.heatInput, { above: 0, unit: "J/mm" });
  requireNumber("arc time of a layer", wall.arcTime, { above: 0, unit: "s" });
  requireNumber("dwell", wall.dwell, { min: 0, unit: "s" });
  requireNumber("wall thickness", wall.thickness, { above: 0, unit: "mm" });
  requireNumber("layer height", wall.layerHeight, { above: 0, unit: "mm" });
  requireNumber("conductivity", wall.conductivity, { above: 0, max: 0.5, unit: "W/(mm K)" });
  requireNumber("volumetric heat", wall.volumetricHeat, { above: 0, max: 0.01, unit: "J/(mm3 K)" });
  requireNumber("temperature of the base", wall.surroundings, { min: -60, max: 1000, unit: "degC" });
  requireNumber("surface loss", wall.surfaceLoss, { min: 0, max: 1000, unit: "W/(m2 K)" });
  requireNumber("emissivity", wall.emissivity, { min: 0, max: 1 });
  requireNumber("base return", wall.baseReturn, { min: -1, max: 1 });
  if (wall.interpass !== undefined)
    requireNumber("interpass temperature", wall.interpass, {
      above: wall.surroundings,
      max: 1500,
      unit: "degC",
    });
  if (wall.timeConstant !== undefined)
    requireNumber("time constant", wall.timeConstant, { above: 0, unit: "s" });
}
