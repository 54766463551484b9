import type { ProcessFamily } from "./processes.js";

/** Where about 95 of 100 shops that run a process find a quantity. */
export interface UsualRange {
  readonly lower: number;
  readonly upper: number;
  readonly unit: string;
}

type Limits = readonly [lower: number, upper: number];
type Row = readonly [
  unit: string,
  usual: Limits,
  byFamily?: Partial<Readonly<Record<ProcessFamily, Limits>>>,
];

/**
 * Usual settings and results of single beads and thin walls, by name: common practice, no source. They are wide on
 * purpose: outside them a number is odd, and only all evidence together makes it a slip.
 */
const rows: Readonly<Record<string, Row>> = {
  current: ["A", [40, 350], { plasma: [20, 250], "mig-mag": [60, 400], "submerged-arc": [200, 1000] }],
  arc_voltage: ["V", [12, 36], { tig: [8, 18], plasma: [14, 36], "submerged-arc": [22, 42] }],
  power: ["W", [400, 10000]],
  travel_speed: [
    "mm/s",
    [1.5, 25],
    { tig: [0.8, 9], plasma: [1, 14], "mig-mag": [2, 25], laser: [2, 50], "manual-metal-arc": [1, 8] },
  ],
  wire_feed_speed: [
    "mm/s",
    [20, 240],
    { tig: [5, 70], plasma: [6, 90], laser: [6, 130], "submerged-arc": [8, 120] },
  ],
  wire_diameter: ["mm", [0.7, 2.5], { "submerged-arc": [1.6, 5] }],
  standoff: ["mm", [7, 26], { tig: [1.2, 8], plasma: [2, 14] }],
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
  bead_width: [
    "mm",
    [3, 16],
    { tig: [2.8, 13], plasma: [2.5, 14], laser: [1.2, 9], "submerged-arc": [8, 30] },
  ],
  bead_height: [
    "mm",
    [1, 6.5],
    { tig: [0.7, 4.8], plasma: [0.6, 5], laser: [0.3, 3.5], "submerged-arc": [1.5, 9] },
  ],
  bead_area: ["mm2", [3, 70], { tig: [2, 40], laser: [0.6, 20] }],
  penetration: ["mm", [0.3, 6]],
  toe_angle: ["deg", [15, 160]],
  dilution: ["1", [0.03, 0.7]],
};

/** The usual range of a quantity on a process; undefined for one of which none is known. */
export function usualRange(name: string, family: ProcessFamily): UsualRange | undefined {
  const row = Object.hasOwn(rows, name) ? rows[name] : undefined;
  if (row === undefined) return undefined;
  const [unit, usual, byFamily] = row;
  const [lower, upper] = byFamily?.[family] ?? usual;
  return { lower, upper, unit };
}
