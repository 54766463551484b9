import { parseStudyDefinition } from "../../lib/study/index.js";
import { segmentHeight, wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * Plasma, 1.2 mm alloy 625 on 5 mm base, sluggish pool: width saturates with power, keyholing above a power
 * density, cold laps below a heat per metal laid, and porosity that comes with distance whatever else is set.
 */
export const plasmaInconel: RigFormulas = {
  name: "plasma-inconel",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "625 cladding, invented",
    process: "15",
    wire: { classification: "ERNiCrMo-3", diameter: "1.2 mm" },
    base: { material: "316L", thickness: "5 mm" },
    gas: { code: "I1" },
    factors: [
      { name: "current", unit: "A", low: 60, high: 200, step: 2 },
      { name: "travel_speed", unit: "mm/min", low: 80, high: 500, step: 5 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.5, high: 4, step: 0.05 },
      { name: "standoff", unit: "mm", low: 3, high: 10, step: 0.5 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 5.5, upper: 6.8 } },
      { name: "bead_height", unit: "mm", spec: { lower: 1.6, upper: 2.1 } },
      { name: "sound", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.045, bead_height: 0.05 },
  state(s, day) {
    const gap = s.standoff!;
    const i = s.current!;
    const v = s.travel_speed!;
    const q = (0.62 - 0.012 * gap) * (20 + 0.5 * gap) * i * (1 + 0.02 * day);
    const wire = wireSection(1.2) * s.wire_feed_speed! * 8.7;
    const area = (0.985 * wireSection(1.2) * s.wire_feed_speed!) / v;
    const net = Math.max(q - wire - 180, 20);
    const width = 2.2 + (9.5 * net) / (net + 900 + 330 * v) + 0.12 * gap;
    const height = segmentHeight(width * (0.97 - 0.01 * day), area);
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        sound:
          holds(2.5 - q / (60 + gap * gap) / (0.8 + 4.2 * Math.sqrt(v)), 0.14) *
          holds(net / (v * (area + 6)) - 10.5, 1) *
          holds(0.36 - wire / q, 0.018) *
          holds(8.3 - gap - 0.35 * v, 0.25) *
          holds(75 - 2 * Math.atan((2 * height) / width) * 57.3 + 8, 4),
      },
    };
  },
};
