import type { LayerReading } from "../../../lib/models/standoff/index.js";
import type { RandomStream } from "../../../lib/numeric/index.js";

/** One build of a rig: a log, and what the stand-off really does afterwards at a given rise. */
export interface Build {
  readonly log: readonly LayerReading[];
  readonly gaugeSd: number;
  readonly layerSd: number;
  /** Rise after each layer to come, mm. */
  readonly rise: number;
  /** True stand-offs of the layers after the log, mm. */
  readonly ahead: readonly number[];
}

/** What differs from rig to rig; none of the laws is one the fit holds, but that of the steady rig. */
interface Law {
  /** Growth of layer k beyond the nominal one, mm, at true stand-off s. */
  readonly growth: (k: number, s: number) => number;
  /** What a control adds to the rise after reading y at layer k, mm, and whether the log knows. */
  readonly control?: { readonly add: (read: number) => number; readonly logged: boolean };
  /** Scatter of layer k, mm. Default independent normal. */
  readonly scatter?: (k: number) => number;
}

interface Common {
  readonly nominal: number;
  readonly layerSd: number;
  readonly start: number;
  readonly random: RandomStream;
}

const between = (random: RandomStream, low: number, high: number): number =>
  low + (high - low) * random.uniform();

/** Exponential approach of the growth to a limit, seen from 3 mm. */
function saturating({ random }: Common): Law {
  const [most, length] = [between(random, 0.2, 0.6), between(random, 0.8, 3)];
  return { growth: (_k, s) => most * (1 - Math.exp(-(Math.max(s, 0) - 3) / length)) };
}

function control({ random, start }: Common, logged: boolean): Law {
  const [gain, limit] = [between(random, 0.15, 0.7), between(random, 0.2, 0.6)];
  const add = (read: number): number => limit * Math.tanh((gain * (start - read)) / limit);
  return { growth: () => 0, control: { add, logged } };
}

/** Second-order errors that last about five layers, or damp and swing a little. */
function lasting({ random, layerSd }: Common): Law {
  const [one, two] = [between(random, 0.5, 0.9), between(random, -0.3, 0.05)];
  const sd = layerSd * Math.sqrt(((1 + two) * ((1 - two) ** 2 - one ** 2)) / (1 - two));
  let [last, before] = [0, 0];
  const step = (): number => {
    [last, before] = [one * last + two * before + sd * random.normal(), last];
    return last;
  };
  for (let i = 0; i < 100; i++) step();
  return { growth: () => 0, scatter: step };
}

/** A sum of first-order errors whose lasting times are octaves apart: near 1/f. */
function flicker({ random, layerSd }: Common): Law {
  const times = [1, 2, 4, 8, 16, 32];
  const parts = times.map(() => random.normal());
  return {
    growth: () => 0,
    scatter: () => {
      times.forEach((time, i) => {
        const rho = Math.exp(-1 / time);
        parts[i] = rho * parts[i]! + Math.sqrt(1 - rho * rho) * random.normal();
      });
      return (layerSd * parts.reduce((sum, part) => sum + part, 0)) / Math.sqrt(times.length);
    },
  };
}

function walking({ random, layerSd }: Common): Law {
  const step = between(random, 0.05, 0.3) * layerSd;
  let walked = 0;
  return {
    growth: () => 0,
    scatter: () => {
      walked += step * random.normal();
      return walked + layerSd * random.normal();
    },
  };
}

const laws: Readonly<Record<string, (common: Common) => Law>> = {
  steady: () => ({ growth: () => 0 }),
  regulating: ({ random }) => {
    const slope = between(random, 0.08, 0.4);
    return { growth: (_k, s) => slope * (s - 3) };
  },
  saturating,
  "control logged": (common) => control(common, true),
  "control unlogged": (common) => control(common, false),
  "heat, straight": ({ nominal }) => ({ growth: (k) => -Math.min(0.3, 0.005 * k) * nominal }),
  "heat, fading": ({ nominal, random }) => {
    const [share, time] = [between(random, 0.05, 0.25), between(random, 10, 40)];
    return { growth: (k) => -share * nominal * (1 - Math.exp(-k / time)) };
  },
  lasting,
  flicker,
  walking,
};

export const rigNames: readonly string[] = [...Object.keys(laws), "still"];

/** A rig of a kind, its magnitudes drawn at random, logged over some layers and then run on. */
export function buildOf(
  kind: string,
  layers: number,
  random: RandomStream,
  options: { readonly ahead?: number; readonly gaps?: number; readonly stations?: number } = {},
): Build {
  const { ahead = 20, gaps = 0 } = options;
  const gaugeSd = between(random, 0.03, 0.12);
  const nominal = between(random, 1.2, 2.4);
  const layerSd = between(random, 0.03, 0.12);
  const start = between(random, 2.5, 5);
  const common: Common = { nominal, layerSd, start, random: random.split("law") };
  const law = laws[kind]?.(common) ?? { growth: () => 0 };
  const { growth, scatter = () => layerSd * random.normal() } = law;
  const rise = nominal + 0.02 * random.normal();
  const trim = between(random, -0.08, 0.02);
  const log: LayerReading[] = [];
  const truth: number[] = [];
  let s = start;
  let planned = rise;
  for (let k = 1; k <= layers + ahead; k++) {
    const read = s + gaugeSd * random.normal();
    const logging = k < layers;
    // Ahead the torch rises about as much as the layers grow by now, a little less or more.
    if (k === layers && kind !== "still") planned = nominal + growth(k, s) + trim;
    let moved = logging ? rise : planned;
    const add = law.control?.add(read) ?? 0;
    if (law.control !== undefined && (logging || !law.control.logged)) moved += add;
    // Whoever sees the stand-off stray resets it, and writes that down.
    else if (logging && kind !== "still" && Math.abs(read - start) > 1.2) moved += start - read;
    if (k <= layers) {
      const missing = k > 4 && k < layers && random.uniform() < gaps;
      const told = law.control?.logged === false ? moved - add : moved;
      log.push({ layer: k, standoff: missing ? null : Math.max(-1, Math.min(60, read)), rise: told });
    } else truth.push(s);
    if (kind === "still") s = start + layerSd * random.normal();
    else s += moved - nominal - growth(k, s) - scatter(k);
  }
  return { log, gaugeSd, layerSd, rise: planned, ahead: truth };
}
