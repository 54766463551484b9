import type { WallReading } from "../../../lib/endurance/wall/index.js";
import type { RandomStream } from "../../../lib/numeric/index.js";
import { thickPlatePool } from "../../../lib/process/heat/index.js";

/** A rig that lays walls: how much a layer grows, and what its gauge reads. */
export interface WallRig {
  readonly law: string;
  /** Stand-off at which the growth law holds, mm. */
  readonly reference: number;
  readonly slope: number;
  readonly layerSd: number;
  readonly gaugeSd: number;
  /** Growth of each layer of one wall before scatter and regulation, mm; each wall differs a little. */
  readonly growths: (layers: number, random: RandomStream) => readonly number[];
}

const between = (random: RandomStream, low: number, high: number): number =>
  low + (high - low) * random.uniform();

/** Stefan and Boltzmann's constant, W/(mm2 K4). */
const SIGMA = 5.67e-14;

/** How the width of a layer follows from the temperature it is laid on. */
type WidthLaw = (temperature: number) => number;

/**
 * Temperature of the top before each layer: finite differences, implicit in time, one node per layer and five in a base
 * plate, with conduction, convection, radiation, an end of the base that is cooled or not, and layers of the width
 * that the melt isotherm gives on what lies below.
 */
function finiteDifferences({
  layers,
  conductivity,
  capacity,
  heatInput,
  period,
  area,
  convection,
  emissivity,
  room,
  base,
  width,
  interpass,
}: {
  readonly layers: number;
  readonly conductivity: number;
  readonly capacity: number;
  readonly heatInput: number;
  readonly period: number;
  readonly area: number;
  readonly convection: number;
  readonly emissivity: number;
  readonly room: number;
  /** Plate under the wall: how much wider, and K-conductance to its cooler, W/(mm2 K). */
  readonly base: { readonly wider: number; readonly cooling: number };
  readonly width: WidthLaw;
  readonly interpass: number;
}): readonly { readonly temperature: number; readonly growth: number }[] {
  const plate = 5;
  const temperatures: number[] = new Array(plate).fill(room);
  const widths: number[] = [];
  const heights: number[] = [];
  const result: { temperature: number; growth: number }[] = [];
  const w0 = width(room);
  for (let i = 0; i < plate; i++) {
    widths.push(w0 * base.wider);
    heights.push(3);
  }
  // Loss over the difference to the room, W/(mm2 K), radiation at the temperature of the step before.
  const lossRate = (t: number): number =>
    convection + emissivity * SIGMA * ((t + 273.15) ** 2 + (room + 273.15) ** 2) * (t + room + 546.3);
  const cool = (duration: number): void => {
    const n = temperatures.length;
    const [ahead, right] = [new Float64Array(n), new Float64Array(n)];
    let [left, step] = [duration, 0.1];
    while (left > 1e-9) {
      const dt = Math.min(step, left);
      left -= dt;
      step = Math.min(2, 1.3 * step);
      let below = base.cooling * widths[0]!;
      for (let i = 0; i < n; i++) {
        const t = temperatures[i]!;
        const up =
          i + 1 < n
            ? (conductivity * Math.min(widths[i]!, widths[i + 1]!) * 2) / (heights[i]! + heights[i + 1]!)
            : 0;
        const lost = lossRate(t) * (2 * heights[i]! + (i + 1 < n ? 0 : widths[i]!)) + (i === 0 ? below : 0);
        const held = (capacity * widths[i]! * heights[i]!) / dt;
        const sideways = i === 0 ? 0 : below;
        const middle = held + lost + up + sideways;
        const known = held * t + lost * room;
        // Thomas: eliminate downwards neighbours on the way up.
        const pivot = middle - (i === 0 ? 0 : sideways * ahead[i - 1]!);
        ahead[i] = up / pivot;
        right[i] = (known + (i === 0 ? 0 : sideways * right[i - 1]!)) / pivot;
        below = up;
      }
      for (let i = n - 1; i >= 0; i--)
        temperatures[i] = right[i]! + (i + 1 < n ? ahead[i]! * temperatures[i + 1]! : 0);
    }
  };
  for (let k = 0; k < layers; k++) {
    for (let wait = 0; temperatures.at(-1)! > interpass && wait < 200; wait++) cool(period / 4);
    const temperature = temperatures.at(-1)!;
    const w = width(temperature);
    const growth = area / w;
    result.push({ temperature, growth });
    // The new layer and the two below share the heat of the pass.
    widths.push(w);
    heights.push(growth);
    temperatures.push(temperature);
    const shares = [0.6, 0.3, 0.1];
    shares.forEach((share, i) => {
      const at = temperatures.length - 1 - i;
      temperatures[at] = temperatures[at]! + (share * heatInput) / (capacity * widths[at]! * heights[at]!);
    });
    cool(period);
  }
  return result;
}

/** Conductivity W/(mm K), heat capacity J/(mm3 K), melting point degC; handbook ranges, from memory. */
const metals = [
  [0.024, 0.0047, 1400],
  [0.03, 0.005, 1480],
  [0.026, 0.0048, 1440],
] as const;

/** Rigs by finite differences with radiation, and widths by one of three isotherm laws. */
function heated(law: string, random: RandomStream, isotherm: "thin" | "thick" | "linear"): WallRig {
  const [conductivity, capacity, melt] = metals[random.integer(0, 2)]!;
  const area = between(random, 5, 12);
  const heatInput = between(random, 260, 560) * Math.sqrt(area / 8);
  const travel = between(random, 2, 6);
  const period = between(random, 25, 150);
  const fullness = between(random, 0.85, 1);
  const coldWidth = between(random, 5, 9);
  const room = between(random, 15, 30);
  const surface = { convection: between(random, 8, 35) * 1e-6, emissivity: between(random, 0.5, 0.9) };
  const base = {
    wider: between(random, 3, 12),
    cooling: random.uniform() < 0.3 ? 0 : between(random, 0.5, 4) * 1e-3,
  };
  const interpass = random.uniform() < 0.35 ? between(random, 150, 400) : 1e4;
  const source = {
    netPower: heatInput * travel,
    travelSpeed: travel,
    conductivity: 0.03,
    volumetricHeat: 0.005,
  };
  const thickWidth = (t: number): number =>
    thickPlatePool({ ...source, startTemperature: Math.min(t, melt - 250) }, melt).width;
  const cold = thickWidth(20);
  const widthAt: WidthLaw = (t) => {
    const share = (melt - Math.min(t, melt - 250)) / (melt - 20);
    if (isotherm === "thick") return (coldWidth * thickWidth(t)) / cold;
    return coldWidth * share ** (isotherm === "thin" ? -0.5 : -0.75);
  };
  const [shift, first] = [between(random, 0.003, 0.015), between(random, -0.15, 0.2)];
  return {
    law,
    reference: 3,
    slope: 0,
    layerSd: between(random, 0.02, 0.06) * (area / fullness / coldWidth),
    gaugeSd: 0.08,
    growths(layers, wall) {
      const [thicker, warmer] = [1 + shift * wall.normal(), room + 4 * wall.normal()];
      const laid = finiteDifferences({
        layers,
        conductivity,
        capacity,
        heatInput: heatInput * (1 + 0.01 * wall.normal()),
        period,
        area: area / fullness,
        ...surface,
        room: warmer,
        base,
        width: widthAt,
        interpass,
      });
      return laid.map(({ growth }, k) => thicker * growth * (1 + first * Math.exp(-k / 0.8)));
    },
  };
}

/** Rigs whose growth follows a formula of the layer that no shape of the library is. */
function formula(law: string, random: RandomStream, course: (layer: number) => number): WallRig {
  const settled = between(random, 1, 2.5);
  const shift = between(random, 0.003, 0.015);
  return {
    law,
    reference: 3,
    slope: 0,
    layerSd: between(random, 0.02, 0.06) * settled,
    gaugeSd: 0.08,
    growths: (layers, wall) => {
      const own = 1 + shift * wall.normal();
      return Array.from({ length: layers }, (_, k) => settled * own * course(k + 1));
    },
  };
}

/** Laws by name; each makes a rig of a random stream. */
export const wallLaws: Readonly<Record<string, (random: RandomStream) => WallRig>> = {
  "thin isotherm": (random) => heated("thin isotherm", random, "thin"),
  "thick isotherm": (random) => heated("thick isotherm", random, "thick"),
  "steep isotherm": (random) => heated("steep isotherm", random, "linear"),
  stretched: (random) => {
    const [a, t, b] = [between(random, 0.1, 0.4), between(random, 8, 40), between(random, 0.5, 0.8)];
    return formula("stretched", random, (k) => 1 + a * Math.exp(-((k / t) ** b)));
  },
  "two stages": (random) => {
    const [a, t, b, s] = [
      between(random, 0.08, 0.25),
      between(random, 3, 10),
      between(random, 0.03, 0.12),
      between(random, 30, 90),
    ];
    return formula("two stages", random, (k) => 1 + a * Math.exp(-k / t) + b * Math.exp(-k / s));
  },
};

/** Further laws, for the judgement alone: nothing is tuned on them. */
export const heldOutLaws: Readonly<Record<string, (random: RandomStream) => WallRig>> = {
  regulating: (random) => ({ ...heated("regulating", random, "thin"), slope: between(random, 0.05, 0.3) }),
  arctangent: (random) => {
    const [a, t] = [between(random, 0.1, 0.35), between(random, 5, 25)];
    return formula("arctangent", random, (k) => 1 + a * (1 - (2 / Math.PI) * Math.atan(k / t)));
  },
  "late rise": (random) => {
    const [a, t, at, wide] = [
      between(random, 0.05, 0.25),
      between(random, 4, 15),
      between(random, 20, 45),
      between(random, 6, 15),
    ];
    return formula(
      "late rise",
      random,
      (k) => 1 + a * Math.exp(-k / t) + 0.05 / (1 + Math.exp((k - at) / wide)),
    );
  },
  steady: (random) => formula("steady", random, () => 1),
};

/** A wall as laid: true stand-off before each layer, and true height over the base after it, mm. */
export interface LaidWall {
  readonly standoff: readonly number[];
  readonly height: readonly number[];
  readonly growth: readonly number[];
}

/**
 * Lays a wall with given rises (after each layer, mm).
 *
 * @param start - stand-off before layer 1, mm
 */
export function layWall(
  rig: WallRig,
  {
    rises,
    start,
    random,
  }: { readonly rises: readonly number[]; readonly start: number; readonly random: RandomStream },
): LaidWall {
  const natural = rig.growths(rises.length, random.split("wall"));
  const [standoff, height, growth]: [number[], number[], number[]] = [[], [], []];
  let [s, top] = [start, 0];
  rises.forEach((rise, k) => {
    standoff.push(s);
    const grown = natural[k]! + rig.slope * (s - rig.reference) + rig.layerSd * random.normal();
    growth.push(grown);
    top += grown;
    height.push(top);
    s += rise - grown;
  });
  standoff.push(s);
  return { standoff, height, growth };
}

/**
 * Lays a coupon and logs it: stand-off read before the layers named, and corrected after such a layer where it is off by
 * more than 0.3 mm; the height once at the end.
 */
export function layCoupon(
  rig: WallRig,
  {
    name,
    rises,
    target,
    layers,
    random,
  }: {
    readonly name: string;
    /** Planned rises, after each layer, mm. */
    readonly rises: readonly number[];
    readonly target: number;
    readonly layers: readonly number[];
    readonly random: RandomStream;
  },
): readonly WallReading[] {
  const natural = rig.growths(rises.length, random.split("wall"));
  let [s, top] = [target + rig.gaugeSd * random.normal(), 0];
  return rises.map((planned, k) => {
    // What is plainly off is measured whether it was planned or not.
    const plain = Math.abs(s - target) > 1.8;
    const read = plain || layers.includes(k + 1) ? s + rig.gaugeSd * random.normal() : null;
    const off = read === null ? 0 : target - read;
    const rise = planned + (Math.abs(off) > 0.3 ? off : 0);
    const grown = natural[k]! + rig.slope * (s - rig.reference) + rig.layerSd * random.normal();
    top += grown;
    s += rise - grown;
    const height = k + 1 === rises.length ? top + rig.gaugeSd * random.normal() : null;
    return { wall: name, layer: k + 1, standoff: read, height, rise, temperature: null };
  });
}
