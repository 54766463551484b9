import { parseStudyDefinition } from "../../lib/study/index.js";
import { wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * MAG, 1.2 mm carbon steel wire, single-bead wall. The wire sets the current (melting by arc and resistance);
 * voltage beyond what the current needs becomes arc length and spreads the bead; short arcs stub, long ones
 * spatter; fast travel humps.
 */
export const magWall: RigFormulas = {
  name: "mag-wall",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "wall, invented",
    process: "135",
    wire: { classification: "G3Si1", diameter: "1.2 mm" },
    base: { material: "S355", thickness: "10 mm" },
    gas: { code: "M21" },
    factors: [
      { name: "wire_feed_speed", unit: "m/min", low: 2, high: 9, step: 0.1 },
      { name: "arc_voltage", unit: "V", low: 14, high: 30, step: 0.2 },
      { name: "travel_speed", unit: "mm/min", low: 200, high: 1400, step: 10 },
      { name: "contact_tip_distance", unit: "mm", low: 10, high: 22, step: 1 },
    ],
    blocks: ["day"],
    responses: [
      { name: "wall_width", unit: "mm", spec: { lower: 5.5, upper: 6.6 } },
      { name: "layer_height", unit: "mm", spec: { lower: 2.2, upper: 2.7 } },
      { name: "sound", kind: "passFail" },
    ],
  }),
  scatter: { wall_width: 0.045, layer_height: 0.05 },
  correlation: -0.4,
  state(s, day) {
    const f = s.wire_feed_speed!;
    const extension = s.contact_tip_distance! - 3;
    const a = 5e-5 * extension;
    const current = (-0.3 + Math.sqrt(0.09 + 4 * a * f)) / (2 * a);
    const arcLength = (s.arc_voltage! - 12.5 - 0.032 * current - 0.12 * extension) / 1.1 + 0.25 * day;
    const power = 0.82 * (s.arc_voltage! - 0.08 * extension) * current;
    const spread = 1 + 0.07 * Math.max(-2, Math.min(arcLength, 6));
    const v = s.travel_speed!;
    const area = ((0.95 - 0.012 * Math.max(0, arcLength - 2.5)) * wireSection(1.2) * f) / v;
    const width = (1.35 * Math.sqrt(area) + 0.0021 * (power / v) + 0.3) * spread;
    const height = area / (0.86 * width - 0.35);
    return {
      medians: { wall_width: width, layer_height: height },
      checks: {
        sound:
          holds(arcLength + 0.6, 0.25) *
          holds(4.3 - arcLength, 0.3) *
          holds(2.6 - (current * v) / 900, 0.12) *
          holds(power / (v * (area + 3)) - 15, 1.2) *
          holds(3.05 - height / 1.1, 0.15),
      },
    };
  },
};
