import { parseStudyDefinition } from "../../lib/study/index.js";
import { segmentHeight, wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * AC TIG, 1.6 mm 4043 wire on 6 mm aluminium plate that soaks heat away: a threshold power before anything
 * melts, width growing with what is left, sagging beyond a pool size, oxide balls when too cold.
 */
export const tigAluminium: RigFormulas = {
  name: "tig-aluminium",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "aluminium rib, invented",
    process: "141",
    wire: { classification: "ER4043", diameter: "1.6 mm" },
    base: { material: "6061", thickness: "6 mm" },
    gas: { code: "I1" },
    rig: { settings: { arc_voltage: "14 V" } },
    factors: [
      { name: "current", unit: "A", low: 80, high: 250, step: 5 },
      { name: "travel_speed", unit: "in/min", low: 3, high: 20, step: 0.5 },
      { name: "wire_feed_speed", unit: "in/min", low: 15, high: 110, step: 1 },
      { name: "standoff", unit: "mm", low: 1.5, high: 5, step: 0.5 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 6.6, upper: 8 } },
      { name: "bead_height", unit: "mm", spec: { lower: 2.0, upper: 2.6 } },
      { name: "sound", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.05, bead_height: 0.055 },
  state(s, day) {
    const gap = s.standoff!;
    const q = (0.7 - 0.02 * gap) * (12 + 0.7 * gap) * s.current!;
    const v = s.travel_speed!;
    const wire = wireSection(1.6) * s.wire_feed_speed! * 2.9;
    const left = Math.max(20, q - 420 - 55 * Math.sqrt(v) - 0.7 * wire) * (1 + 0.03 * day);
    const width = 2.4 + 0.24 * (left / (1 + 0.12 * v)) ** 0.46 * (1 + 0.05 * gap);
    const area = (0.97 * wireSection(1.6) * s.wire_feed_speed!) / v;
    const height = segmentHeight(width, area) * (1 - 0.02 * Math.max(0, width - 7.5));
    const margin = left / (1 + 2.2 * v);
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        sound:
          holds(margin - 42, 5) *
          holds(118 + 4 * gap - margin, 6) *
          holds(0.34 - wire / q - 0.015 * (gap - 2), 0.015) *
          holds(4.3 - gap, 0.25) *
          holds(0.62 - height / width, 0.03) *
          holds(7.2 - v, 0.3),
      },
    };
  },
};
