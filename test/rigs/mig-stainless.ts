import { parseStudyDefinition } from "../../lib/study/index.js";
import { thickPlateWidth, wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * MIG, 1.0 mm 316L, pulsed source set by current and wire feed apart: mismatch of the two is burn-back or
 * stubbing. Current, feed, travel and stand-off vary; voltage follows the current.
 */
export const migStainless: RigFormulas = {
  name: "mig-stainless",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "stainless overlay, invented",
    process: "131",
    wire: { classification: "ER316LSi", diameter: "1.0 mm" },
    base: { material: "316L", thickness: "10 mm" },
    gas: { code: "M12" },
    factors: [
      { name: "current", unit: "A", low: 70, high: 230, step: 2 },
      { name: "travel_speed", unit: "mm/s", low: 3, high: 16, step: 0.2 },
      { name: "wire_feed_speed", unit: "m/min", low: 3, high: 11, step: 0.1 },
      { name: "standoff", unit: "mm", low: 8, high: 20, step: 1 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 5.2, upper: 6.4 } },
      { name: "bead_height", unit: "mm", spec: { lower: 2.0, upper: 2.5 } },
      { name: "no_spatter", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.03, bead_height: 0.04 },
  state(s, day) {
    const i = s.current!;
    const v = s.travel_speed!;
    const extension = s.standoff! - 4;
    const melt = 0.46 * i + 1.25e-4 * extension * i * i;
    const match = s.wire_feed_speed! / melt;
    const volts = 15 + 0.045 * i + 0.25 * (s.standoff! - 12);
    const q = 0.76 * volts * i * (1 + 0.015 * day);
    const area = (0.96 * wireSection(1.0) * s.wire_feed_speed!) / v;
    const pool = thickPlateWidth(0.7 * q, v, 0.026, 0.005, 1390);
    const width = Math.sqrt(0.62 * pool * pool + 2.1 * area) * (1 - 0.25 * (match - 1));
    const height = (area / (0.73 * width)) * (1 + 0.03 * day);
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        no_spatter:
          holds(1.26 - match, 0.03) *
          holds(match - 0.8, 0.03) *
          holds(3.4 - (i * v) / 620, 0.15) *
          holds(0.58 - height / width, 0.03) *
          holds(17 - s.standoff!, 0.6) *
          holds(12.5 - pool, 0.4),
      },
    };
  },
};
