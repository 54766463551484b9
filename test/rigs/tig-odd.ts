import { parseStudyDefinition } from "../../lib/study/index.js";
import { wireSection } from "./physics.js";
import { holds, type RigFormulas } from "./rig.js";

/**
 * A rig with unfavourable exponents: a wide, weak arc whose bead width follows stand-off and wire load more
 * than current, flattened by gravity when wide, and a good region that is narrow and lies off the middle.
 */
export const tigOdd: RigFormulas = {
  name: "tig-odd",
  definition: parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "bronze overlay, invented",
    process: "141",
    wire: { classification: "ERCuSi-A", diameter: "1.2 mm" },
    base: { material: "S355", thickness: "8 mm" },
    gas: { code: "I1" },
    factors: [
      { name: "current", unit: "A", low: 50, high: 200, step: 5 },
      { name: "travel_speed", unit: "mm/min", low: 60, high: 420, step: 10 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.5, high: 3.5, step: 0.05 },
      { name: "standoff", unit: "mm", low: 2, high: 8, step: 0.5 },
    ],
    blocks: ["day"],
    responses: [
      { name: "bead_width", unit: "mm", spec: { lower: 6.5, upper: 8.2 } },
      { name: "bead_height", unit: "mm", spec: { lower: 1.5, upper: 1.95 } },
      { name: "sound", kind: "passFail" },
      { name: "dilution_low", kind: "passFail" },
    ],
  }),
  scatter: { bead_width: 0.055, bead_height: 0.05 },
  correlation: 0.2,
  state(s, day) {
    const gap = s.standoff!;
    const i = s.current!;
    const v = s.travel_speed!;
    const q = 0.66 * (10 + 0.9 * gap) * i;
    const area = (0.98 * wireSection(1.2) * s.wire_feed_speed!) / v;
    const wire = wireSection(1.2) * s.wire_feed_speed! * 5.6;
    const heat = (q - wire) / v;
    const width =
      (1.6 + 0.42 * gap + 2.5 * (1 - Math.exp(-area / 6)) + 2.1 * Math.log1p(Math.max(heat, 1) / 160)) *
      (1 + 0.02 * day);
    const sag = 1 / (1 + (width / 16) ** 3);
    const height = (area / (0.64 * width)) * (0.82 + 0.25 * sag);
    const melted = Math.max(0, heat / 11 - 14 - area * 1.4);
    return {
      medians: { bead_width: width, bead_height: height },
      checks: {
        sound:
          holds(0.3 - wire / q, 0.018) *
          holds(heat - 165, 11) *
          holds(6.4 - gap, 0.3) *
          holds(wire / q - 0.055, 0.006),
        dilution_low: holds(0.42 - melted / (melted + area), 0.03) * holds(185 - i, 6),
      },
    };
  },
};
