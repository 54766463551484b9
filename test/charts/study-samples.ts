import {
  chartBuildTimeline,
  chartCoverage,
  chartGain,
  chartLearning,
  chartSuspects,
} from "../../lib/charts/index.js";

const third = (low: number, high: number): number[] => [0, 1, 2, 3].map((i) => low + ((high - low) * i) / 3);
const current = { name: "current", unit: "A", edges: third(90, 180) };
const gas = { name: "gas", unit: "1", edges: [-0.5, 0.5, 1.5], names: ["argon", "argon with hydrogen"] };

/** Invented data of the charts that tell how a study went, as plain as each takes it. */
export const studyInputs = {
  coverage: {
    of: 3,
    pairs: [
      {
        x: current,
        y: gas,
        places: [
          { x: 100, y: 0, stage: "run" as const, coupons: ["C1", "C2", "C3"] },
          { x: 170, y: 1, stage: "planned" as const, coupons: ["C4"] },
          { x: 130, y: 1, stage: "voided" as const, coupons: ["C5"] },
        ],
        empty: [
          [1, 0],
          [1, 1],
          [0, 1],
        ] as const,
        barred: [[2, 0]] as const,
      },
    ],
  },
  learning: {
    steps: [
      { coupons: 0, chance: 0.07, interval: [0, 0.69] as const },
      { coupons: 8, chance: 0.64, interval: [0.21, 0.9] as const },
      { coupons: 20, chance: 0.58, interval: [0.33, 0.84] as const },
      { coupons: 32, chance: 0.88, interval: [0.79, 0.95] as const },
    ],
  },
  gain: {
    rows: [
      { name: "C001 to C008", expected: 0.163, gained: 0.576 },
      { name: "C009 to C020", expected: 0.056, gained: -0.06 },
      { name: "C021", expected: 0.0001, gained: 0 },
      { name: "C022", expected: 0.031 },
    ],
  },
  suspects: {
    suspects: [
      { coupon: "C015", chance: 0.5, reason: "sound bead failed; the others give that a chance of 2.0 %" },
      { coupon: "C003", chance: 0.996, reason: "bead width 58 mm; the others foresee 5.8 mm" },
      { coupon: "C022", chance: 0.31, reason: "current 1300 A; the others lie within 90 to 180 A" },
    ],
  },
  buildTimeline: {
    layers: Array.from({ length: 40 }, (_, i) => ({
      layer: i + 1,
      at: 0.11 * (i + 1) + (i >= 25 ? 0.3 : 0),
      relevel: i % 10 === 9,
    })),
    changes: [
      { layer: 12, at: 1.32, what: "tungsten" },
      { layer: 26, at: 3.16, what: "cylinder" },
      { layer: 27, at: 3.27, what: "spool" },
    ],
    expected: 6.1,
    longest: 8.4,
  },
};

/** Each chart with its data of {@link studyInputs}. */
export const studySamples = {
  coverage: { draw: chartCoverage, data: studyInputs.coverage },
  learning: { draw: chartLearning, data: studyInputs.learning },
  gain: { draw: chartGain, data: studyInputs.gain },
  suspects: { draw: chartSuspects, data: studyInputs.suspects },
  "build-timeline": { draw: chartBuildTimeline, data: studyInputs.buildTimeline },
};
