import { parseStudyDefinition } from "../../lib/study/index.js";
import { segmentHeight, thickPlateWidth, wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * TIG, 1.0 mm stainless wire on thick plate. Width from the moving point source after the wire has taken its
 * heat; height from a circular segment; wire stubs when it takes too much of the pool's heat, melts off in
 * drops when it takes too little, and the bead balls up when its toes stand steeper than a right angle.
 */
export const tigWearRing: RigFormulas = {
  name: "tig-wear-ring",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "wear ring, invented",
    process: "141",
    wire: { classification: "ER308LSi", diameter: "1.0 mm" },
    base: { material: "316L", thickness: "12 mm" },
    gas: { code: "I1" },
    factors: [
      { name: "current", unit: "A", low: 60, high: 220, step: 5 },
      { name: "travel_speed", unit: "mm/min", low: 50, high: 400, step: 10 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.4, high: 3, step: 0.05 },
      { name: "standoff", unit: "mm", low: 1.5, high: 6, step: 0.5 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 6 } },
      { name: "bead_height", unit: "mm", spec: { lower: 1.7, upper: 2.15 } },
      { name: "sound", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.04, bead_height: 0.045 },
  correlation: -0.3,
  state(s, day) {
    const current = s.current!;
    const v = s.travel_speed!;
    const gap = s.standoff!;
    const volts = 9.2 + 0.75 * gap + 0.008 * current;
    const q = (0.8 - 0.025 * gap) * (1 + 0.02 * day) * volts * current - 35;
    const wire = wireSection(1.0) * s.wire_feed_speed! * 8.9;
    const share = wire / q;
    const width = 1.05 + 0.82 * thickPlateWidth(q - 0.6 * wire, v, 0.027, 0.005, 1400);
    const area = (0.985 * wireSection(1.0) * s.wire_feed_speed!) / v;
    const height = segmentHeight(width, area);
    const toe = 2 * Math.atan((2 * height) / width) * (180 / Math.PI);
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        sound:
          holds(0.27 - 0.012 * (gap - 3) - share, 0.014) *
          holds(share - 0.045 - 0.02 * (gap - 2), 0.006) *
          holds(92 - toe, 4) *
          holds(4.6 - gap - 0.004 * (current - 120), 0.2) *
          holds(9.5 - width, 0.3),
      },
    };
  },
};
