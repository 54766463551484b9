import { parseStudyDefinition } from "../../lib/study/index.js";
import { wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * TIG, 0.8 mm carbon steel wire on 3 mm sheet: two-dimensional heat flow, so width goes with energy per length
 * and the sheet burns through a little above the energy that fuses it. Height is limited by surface tension.
 */
export const tigThinSheet: RigFormulas = {
  name: "tig-thin-sheet",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "thin sheet, invented",
    process: "141",
    wire: { classification: "ER70S-6", diameter: "0.8 mm" },
    base: { material: "S355", thickness: "3 mm" },
    gas: { code: "I1" },
    rig: { settings: { standoff: "2.5 mm" } },
    factors: [
      { name: "current", unit: "A", low: 50, high: 180, step: 2 },
      { name: "arc_voltage", unit: "V", low: 9, high: 15, step: 0.2 },
      { name: "travel_speed", unit: "mm/s", low: 1, high: 8, step: 0.1 },
      { name: "wire_feed_speed", unit: "mm/s", low: 5, high: 60, step: 1 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 4, upper: 5 } },
      { name: "bead_height", unit: "mm", spec: { lower: 1.0, upper: 1.4 } },
      { name: "no_burn_through", kind: "passFail" },
      { name: "no_stubbing", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.035, bead_height: 0.05 },
  state(s, day) {
    const arcLength = Math.max(0.2, (s.arc_voltage! - 8.6 - 0.006 * s.current!) / 0.8);
    const q = (0.78 - 0.03 * arcLength) * s.arc_voltage! * s.current!;
    const wire = wireSection(0.8) * s.wire_feed_speed! * 10.1;
    const line = ((q - 0.8 * wire) / s.travel_speed!) * (1 + 0.025 * day);
    const width = 0.9 + (6.2 * Math.max(line, 1)) / (Math.max(line, 1) + 210) + 0.18 * arcLength;
    const area = (0.98 * wireSection(0.8) * s.wire_feed_speed!) / s.travel_speed!;
    const flat = area / (0.7 * width);
    const height = 2.6 * Math.tanh(flat / 2.6) * (1 + 0.01 * day);
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        no_burn_through: holds(330 - line - 8 * (s.current! / 100) ** 2, 14) * holds(width - 2.6, 0.15),
        no_stubbing:
          holds(0.33 - wire / q, 0.02) *
          holds(wire / q - 0.05, 0.008) *
          holds(3.6 - arcLength, 0.15) *
          holds(arcLength - 0.8, 0.12),
      },
    };
  },
};
