import { type RandomStream, randomStream } from "../../lib/numeric/index.js";
import { parseStudyDefinition } from "../../lib/study/index.js";
import { wireSection } from "./physics.js";
import { holds, type RigFormulas, type RigSettings, runCoupon, trueChance } from "./rig.js";

/** A rig whose process, ranges, laws, limits, scatter and specification are drawn at random, and its difficulty. */
export interface DrawnRig {
  readonly rig: RigFormulas;
  /** Share of coupons that fail at settings spread over the whole region. */
  readonly failing: number;
  /** Share of settings with at least 0.8 of the best true chance. */
  readonly good: number;
  /** Best true chance found, and where. */
  readonly best: number;
  readonly at: Settings;
}

type Settings = Readonly<Record<string, number | string>>;
type Draw = (low: number, high: number) => number;

interface Quantities {
  readonly current: number;
  readonly volts: number;
  readonly v: number;
  readonly feed: number;
  readonly gap: number;
  /** W into the part, after losses. */
  readonly q: number;
  readonly area: number;
  readonly share: number;
  readonly arcLength: number;
}

const steps: Readonly<Record<string, readonly [unit: string, toSi: number, step: number]>> = {
  current: ["A", 1, 2],
  arc_voltage: ["V", 1, 0.2],
  travel_speed: ["mm/min", 1 / 60, 5],
  wire_feed_speed: ["m/min", 1000 / 60, 0.05],
  standoff: ["mm", 1, 0.5],
};

/** Relates settings to physical quantities by laws with drawn constants. */
function drawLaws(draw: Draw, consumable: boolean, diameter: number) {
  const section = wireSection(diameter);
  const enthalpy = draw(5, 11);
  const efficiency = draw(0.55, 0.8);
  const loss = consumable ? draw(0, 300) : draw(0, 120);
  const perGap = draw(0.3, 1);
  const alpha = draw(0.28, 0.5) / section;
  const kept = draw(0.9, 0.99);
  return (s: RigSettings, day: number): Quantities => {
    const feed = s.wire_feed_speed!;
    const gap = s.standoff ?? 3;
    const current = s.current ?? feed / (alpha * (1 + 0.02 * (gap - 12)));
    const own = consumable ? 13 + 0.045 * current + 0.1 * gap : 9 + perGap * gap + 0.008 * current;
    const volts = s.arc_voltage ?? own;
    const arcLength = consumable
      ? (volts - own) / 1.2
      : s.arc_voltage === undefined
        ? gap
        : (volts - 9 - 0.008 * current) / perGap;
    const q = (efficiency * (1 + 0.02 * day) - 0.012 * Math.max(0, arcLength)) * volts * current - loss;
    const wire = section * feed * enthalpy;
    return {
      current,
      volts,
      v: s.travel_speed!,
      feed,
      gap,
      q: Math.max(q, 10),
      area: (kept * section * feed) / s.travel_speed!,
      share: wire / Math.max(q, 10),
      arcLength,
    };
  };
}

export function drawRig(stream: RandomStream, name: string): RigFormulas {
  const draw: Draw = (low, high) => low + (high - low) * stream.uniform();
  const either = (chance: number): boolean => stream.uniform() < chance;
  const consumable = either(0.4);
  const diameter = [0.8, 1.0, 1.2][stream.integer(0, 2)]!;
  const laws = drawLaws(draw, consumable, diameter);
  const kind = stream.integer(0, 1);
  const names = consumable
    ? kind === 0
      ? ["wire_feed_speed", "arc_voltage", "travel_speed", "standoff"]
      : ["current", "travel_speed", "wire_feed_speed", "standoff"]
    : kind === 0
      ? ["current", "travel_speed", "wire_feed_speed", "standoff"]
      : ["current", "arc_voltage", "travel_speed", "wire_feed_speed"];
  const section = wireSection(diameter);
  const targetArea = draw(4, 12);
  const targetSpeed = consumable ? draw(4, 11) : draw(1.5, 5);
  const targetFeed = (targetArea * targetSpeed) / section;
  const targetCurrent = consumable
    ? draw(0.9, 1.1) * targetFeed * section * 2.4
    : (draw(0.8, 1.25) * (targetFeed * section * 9)) / (0.18 * 0.67 * 12);
  const targetGap = consumable ? draw(10, 16) : draw(2, 5);
  const target: RigSettings = {
    current: targetCurrent,
    travel_speed: targetSpeed,
    wire_feed_speed: targetFeed,
    standoff: targetGap,
    arc_voltage: consumable
      ? 13 + 0.045 * targetCurrent + 0.1 * targetGap + draw(0.5, 3)
      : 9 + 0.7 * draw(2, 4) + 0.008 * targetCurrent,
  };
  const only = Object.fromEntries(names.map((n) => [n, target[n]!]));
  const at = laws(only, 0);
  const parts = [draw(0.1, 1), draw(0.1, 1), draw(0, 0.35)];
  const sum = parts.reduce((a, b) => a + b, 0);
  const power = draw(0.3, 0.9);
  const saturates = either(0.5);
  const bend = draw(0, 0.25);
  const heat = (x: Quantities): number => (x.q * (1 - draw0 * x.share)) / x.v ** speedPower;
  const speedPower = draw(0.6, 1.1);
  const draw0 = draw(0, 1);
  const heatRatio = (x: Quantities): number => {
    const r = Math.max(heat(x) / heat(at), 0.02);
    return saturates ? (2 * r) / (1 + r) : r ** power;
  };
  const widthAt = Math.sqrt(targetArea) * draw(1.7, 2.6);
  const width = (x: Quantities): number =>
    (widthAt / sum) *
    (parts[0]! * Math.sqrt(x.area / at.area) +
      parts[1]! * heatRatio(x) +
      (parts[2]! * Math.max(x.arcLength + 3, 0.5)) / Math.max(at.arcLength + 3, 0.5)) *
    (1 + bend * Math.tanh((x.arcLength - at.arcLength) / 3));
  const fullness = draw(0.6, 0.76);
  const lean = draw(-0.3, 0.3);
  const height = (x: Quantities, w: number): number =>
    x.area / (fullness * w * (1 + lean * Math.tanh(x.area / w ** 2 - at.area / widthAt ** 2)));
  const soft = draw(0.04, 0.09);
  const limits: readonly (readonly [number, (x: Quantities, w: number) => number])[] = [
    [1, (x) => x.share],
    [-1, (x) => x.share],
    [-1, (x) => x.q / (x.v * (x.area + 4))],
    [1, (x) => x.q / (x.v ** 0.7 * (1 + 0.1 * x.gap))],
    [1, (x) => x.current * x.v + 0.3 * x.current],
    [1, (x, w) => x.area / w ** 2],
    [1, (x) => x.arcLength + 4],
    [-1, (x) => x.arcLength + 4],
    [1, (x) => x.gap],
    [1, (x, w) => w + 0.2 * x.gap],
  ];
  const active = stream.shuffle(limits.map((_, i) => i)).slice(0, stream.integer(4, 6));
  const margins = active.map((i) => {
    const [side, quantity] = limits[i]!;
    const value = quantity(at, widthAt);
    return { side, quantity, value, threshold: value * (1 + side * draw(0.12, 0.4)) };
  });
  const split = either(0.35);
  const dayShift = draw(0, 0.03);
  const stretch = draw(1, 1.3);
  const factors = names.map((n) => {
    const [unit, toSi, step] = steps[n]!;
    const value = target[n]! / toSi;
    const ratio = n === "arc_voltage" ? draw(1.2, 1.45) : n === "standoff" ? draw(1.4, 2.2) : draw(1.7, 3.2);
    const low = Math.max(step, Math.round(value / ratio ** (stretch * draw(0.5, 1.3)) / step) * step);
    const high = Math.round((value * ratio ** (stretch * draw(0.5, 1.3))) / step) * step;
    return {
      name: n,
      unit,
      low: Number(low.toPrecision(6)),
      high: Number(Math.max(high, low + 4 * step).toPrecision(6)),
      step,
    };
  });
  const around = (value: number, half: number) => ({
    lower: Number((value * (1 - half)).toPrecision(3)),
    upper: Number((value * (1 + half)).toPrecision(3)),
  });
  const definition = parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "drawn at random",
    process: consumable ? "131" : "141",
    wire: {
      classification: ["ER70S-6", "ER308L", "ERNiCrMo-3", "own mix 7"][stream.integer(0, 3)]!,
      diameter: `${diameter} mm`,
    },
    factors,
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: around(widthAt, draw(0.075, 0.12)) },
      { name: "bead_height", unit: "mm", spec: around(height(at, widthAt), draw(0.08, 0.13)) },
      { name: "sound", kind: "passFail" },
      ...(split ? [{ name: "clean", kind: "passFail" }] : []),
    ],
  });
  return {
    name,
    definition,
    scatter: { bead_width: draw(0.03, 0.06), bead_height: draw(0.03, 0.06) },
    correlation: draw(-0.5, 0.3),
    state(s, day) {
      const x = laws(s, day);
      const w = Math.max(width(x), 0.2);
      const chances = margins.map(({ side, quantity, value, threshold }, i) => {
        const drift = 1 + 0.4 * dayShift * day * (i % 2 === 0 ? 1 : -1);
        return holds((side * (threshold * drift - quantity(x, w))) / value, soft * 0.7);
      });
      const product = (from: number, step: number): number => {
        let p = 0.99;
        for (let i = from; i < chances.length; i += step) p *= chances[i]!;
        return p;
      };
      const checks: Record<string, number> = split
        ? { sound: product(0, 2), clean: product(1, 2) }
        : { sound: product(0, 1) };
      return {
        medians: {
          bead_width: w * (1 + dayShift * day * 0.5),
          bead_height: height(x, w) * (1 - dayShift * day * 0.3),
        },
        checks,
      };
    },
  };
}

/** True best and difficulty of a rig, from settings drawn over the region and climbing from the best. */
export function difficulty(rig: RigFormulas, settings = 4000): Omit<DrawnRig, "rig"> {
  const stream = randomStream(5);
  const { factors } = rig.definition;
  const chances: number[] = [];
  let failed = 0;
  let best = { chance: -1, x: {} as Settings };
  const tops: { chance: number; x: Settings }[] = [];
  for (let i = 0; i < settings; i++) {
    const x = Object.fromEntries(
      factors.map((f): [string, number | string] => [
        f.name,
        f.kind === "category"
          ? f.levels![stream.integer(0, f.levels!.length - 1)]!
          : Number(
              (f.low + f.step! * stream.integer(0, Math.round((f.high - f.low) / f.step!))).toPrecision(9),
            ),
      ]),
    );
    if (Object.values(runCoupon(rig, x, 0, stream).passed).includes(false)) failed++;
    const chance = trueChance(rig, x);
    chances.push(chance);
    tops.push({ chance, x });
  }
  tops.sort((a, b) => b.chance - a.chance);
  for (const start of tops.slice(0, 6)) {
    let here = start;
    for (let improved = true; improved; ) {
      improved = false;
      for (let trial = 0; trial < 120; trial++) {
        const reach = [12, 5, 2, 1][trial % 4]!;
        const x: Record<string, number | string> = { ...here.x };
        for (const f of factors) {
          if (stream.uniform() < 0.4) continue;
          if (f.kind === "category") continue;
          const moved = Number(x[f.name]) + f.step! * stream.integer(-reach, reach);
          x[f.name] = Number(Math.min(f.high, Math.max(f.low, moved)).toPrecision(9));
        }
        const chance = trueChance(rig, x);
        if (chance > here.chance) {
          here = { chance, x };
          improved = true;
        }
      }
    }
    if (here.chance > best.chance) best = here;
  }
  return {
    failing: failed / settings,
    good: chances.filter((chance) => chance >= 0.8 * best.chance).length / settings,
    best: best.chance,
    at: best.x,
  };
}

/** Rigs drawn at random that are as hostile as real ones: most first coupons fail, few settings are good. */
export function drawHostileRigs(count: number, seed: number): readonly DrawnRig[] {
  const rigs: DrawnRig[] = [];
  for (let i = 0; rigs.length < count; i++) {
    const rig = drawRig(randomStream(seed).split(i), `drawn-${seed}-${i}`);
    const facts = difficulty(rig);
    if (facts.failing < 0.6 || facts.failing > 0.88 || facts.good > 0.012 || facts.best < 0.75) continue;
    rigs.push({ rig, ...facts });
  }
  return rigs;
}
