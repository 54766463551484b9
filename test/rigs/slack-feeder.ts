import { parseStudyDefinition } from "../../lib/study/index.js";
import { wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * MIG, 0.8 mm aluminium bronze at low power with a slack feeder: the wire that arrives is less than what is
 * set, voltage drives the width more than speed does, and three failures close in on a bent corridor.
 */
export const slackFeeder: RigFormulas = {
  name: "slack-feeder",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "bronze rib, invented",
    process: "131",
    wire: { classification: "ERCuAl-A2", diameter: "0.8 mm" },
    base: { material: "S355", thickness: "6 mm" },
    gas: { code: "I1" },
    factors: [
      { name: "wire_feed_speed", unit: "m/min", low: 2.5, high: 12, step: 0.1 },
      { name: "arc_voltage", unit: "V", low: 13, high: 26, step: 0.2 },
      { name: "travel_speed", unit: "mm/s", low: 2, high: 14, step: 0.2 },
      { name: "standoff", unit: "mm", low: 8, high: 18, step: 1 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 4.2, upper: 5.2 } },
      { name: "bead_height", unit: "mm", spec: { lower: 1.5, upper: 1.95 } },
      { name: "sound", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.05, bead_height: 0.055 },
  correlation: -0.2,
  state(s, day) {
    const slip = 0.94 - 0.0007 * s.wire_feed_speed! - 0.01 * day;
    const f = slip * s.wire_feed_speed!;
    const current = 30 + 0.86 * f - 1.6 * (s.standoff! - 12);
    const arc = s.arc_voltage! - 11.5 - 0.045 * current - 0.15 * (s.standoff! - 12);
    const v = s.travel_speed!;
    const area = (0.93 * wireSection(0.8) * f) / v;
    const wet = 1 / (1 + Math.exp(-(arc - 0.5) / 2.2));
    const width = (1.05 * Math.sqrt(area) + 0.3) * (0.72 + 0.75 * wet) + (0.03 * current) / (1 + v / 6);
    const height = area / (width * (0.62 + 0.12 * wet));
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        sound:
          holds(arc + 0.9, 0.3) *
          holds(4.4 - arc, 0.3) *
          holds(11.5 - v - 0.02 * (current - 100), 0.5) *
          holds(0.52 - height / width + 0.02 * arc, 0.025) *
          holds((current * s.arc_voltage!) / (v * (2 + area)) - 34, 4) *
          holds(185 - current, 6),
      },
    };
  },
};
