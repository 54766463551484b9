import type { ProcessFamily } from "./processes.js";

/** Where about 95 of 100 shops that run a process find a quantity. */
export interface UsualRange {
  readonly lower: number;
  readonly upper: number;
  readonly unit: string;
}

type Limits = readonly [lower: number, upper: number];

/**
 * Usual settings and results of single beads and thin walls, by name: common practice, no source. They are wide on
 * purpose: outside them a number is odd, and only all evidence together makes it a slip.
 */
const usual = {
  current: ["A", [40, 350]],
  arc_voltage: ["V", [12, 36]],
  power: ["W", [400, 10000]],
  travel_speed: ["mm/s", [1.5, 25]],
  wire_feed_speed: ["mm/s", [20, 240]],
  wire_diameter: ["mm", [0.7, 2.5]],
  standoff: ["mm", [7, 26]],
  arc_length: ["mm", [1, 10]],
  stickout: ["mm", [6, 26]],
  contact_tip_distance: ["mm", [7, 28]],
  gas_flow: ["L/min", [6, 28]],
  plasma_gas_flow: ["L/min", [0.2, 6]],
  interpass_temperature: ["degC", [18, 450]],
  preheat_temperature: ["degC", [15, 450]],
  dwell: ["s", [3, 400]],
  torch_angle: ["deg", [5, 150]],
  layer_height: ["mm", [0.7, 5]],
  weave_width: ["mm", [0.8, 20]],
  bead_width: ["mm", [3, 16]],
  bead_height: ["mm", [1, 6.5]],
  bead_area: ["mm2", [3, 70]],
  penetration: ["mm", [0.3, 6]],
  toe_angle: ["deg", [15, 160]],
  dilution: ["1", [0.03, 0.7]],
} as const satisfies Readonly<Record<string, readonly [unit: string, limits: Limits]>>;

type RangeName = keyof typeof usual;

/** Where a family of processes differs from the rest; one that differs nowhere says so. */
const differing: Readonly<Record<ProcessFamily, Readonly<Partial<Record<RangeName, Limits>>>>> = {
  tig: {
    arc_voltage: [8, 18],
    travel_speed: [0.8, 9],
    wire_feed_speed: [5, 70],
    standoff: [1.2, 8],
    bead_width: [2.8, 13],
    bead_height: [0.7, 4.8],
    bead_area: [2, 40],
  },
  "mig-mag": { current: [60, 400], travel_speed: [2, 25] },
  "flux-cored": {},
  plasma: {
    current: [20, 250],
    arc_voltage: [14, 36],
    travel_speed: [1, 14],
    wire_feed_speed: [6, 90],
    standoff: [2, 14],
    bead_width: [2.5, 14],
    bead_height: [0.6, 5],
  },
  "manual-metal-arc": { travel_speed: [1, 8] },
  "submerged-arc": {
    current: [200, 1000],
    arc_voltage: [22, 42],
    wire_feed_speed: [8, 120],
    wire_diameter: [1.6, 5],
    bead_width: [8, 30],
    bead_height: [1.5, 9],
  },
  laser: {
    travel_speed: [2, 50],
    wire_feed_speed: [6, 130],
    bead_width: [1.2, 9],
    bead_height: [0.3, 3.5],
    bead_area: [0.6, 20],
  },
};

const isRangeName = (name: string): name is RangeName => Object.hasOwn(usual, name);

/**
 * The usual range of a quantity on a process, with its unit; undefined for one of which none is known. A value outside is
 * unusual, not impossible: `bounds` says what cannot be.
 */
export function usualRange(name: string, family: ProcessFamily): UsualRange | undefined {
  if (!isRangeName(name)) return undefined;
  const [unit, limits] = usual[name];
  const [lower, upper] = differing[family][name] ?? limits;
  return { lower, upper, unit };
}
