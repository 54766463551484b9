import type { ChartSpec } from "../../lib/charts/index.js";
import {
  chartChanceProfiles,
  chartConformance,
  chartControl,
  chartCorrelations,
  chartEffects,
  chartGrowth,
  chartLayerLog,
  chartNormalQuantiles,
  chartPareto,
  chartPredicted,
  chartResiduals,
  chartResponse,
  chartStandoff,
  chartStations,
  chartTimeline,
  chartTrace,
  chartWall,
  chartWindowRanges,
} from "../../lib/charts/index.js";
import { controlChart } from "../../lib/endurance/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { studySamples } from "./study-samples.js";

/** Freezes data through and through, so that a chart that changes its input fails loudly. */
export function frozen<T>(value: T): T {
  if (typeof value === "object" && value !== null) for (const part of Object.values(value)) frozen(part);
  return Object.freeze(value);
}

const steps = (from: number, to: number, n: number): number[] =>
  Array.from({ length: n }, (_, i) => from + ((to - from) * i) / (n - 1));

const width = { name: "bead_width", unit: "mm" };
const speed = { name: "travel_speed", unit: "mm/s" };
const current = { name: "current", unit: "A" };
const feed = { name: "wire_feed_speed", unit: "mm/s" };

/** Invented bead width, mm, of a TIG cold-wire rig: a power law of current, travel speed and wire feed. */
const trueWidth = (amps: number, travel: number, wire: number): number =>
  0.12 * amps ** 0.85 * travel ** -0.45 * wire ** 0.15;

/** Invented coupons: settings spread over their ranges, width with 4 % scatter; one of them came out 12 % too wide. */
const coupons = (() => {
  const random = randomStream(11);
  return Array.from({ length: 32 }, (_, i) => {
    const settings = {
      current: random.integer(90, 150),
      travel_speed: random.integer(20, 50) / 10,
      wire_feed_speed: random.integer(12, 28),
    };
    const expected = trueWidth(settings.current, settings.travel_speed, settings.wire_feed_speed);
    const measured = expected * (i === 20 ? 1.12 : Math.exp(0.04 * random.normal()));
    return { coupon: `C${String(i + 1).padStart(2, "0")}`, run: i + 1, ...settings, expected, measured };
  });
})();

function responsePanel(setting: { name: string; unit: string }, from: number, to: number) {
  const key = setting.name as "current" | "travel_speed" | "wire_feed_speed";
  const centre = { current: 120, travel_speed: 3.5, wire_feed_speed: 20 };
  const curve = steps(from, to, 21).map((x) => {
    const at = { ...centre, [key]: x };
    const fit = trueWidth(at.current, at.travel_speed, at.wire_feed_speed);
    const mean = fit * (0.012 + 0.03 * Math.abs((2 * (x - from)) / (to - from) - 1) ** 2);
    const single = Math.hypot(mean, 0.08 * fit);
    return {
      x,
      fit,
      meanLow: fit - mean,
      meanHigh: fit + mean,
      couponLow: fit - single,
      couponHigh: fit + single,
    };
  });
  const measured = coupons.map((row) => {
    const at = { ...centre, [key]: row[key] };
    const moved = trueWidth(at.current, at.travel_speed, at.wire_feed_speed);
    return { coupon: row.coupon, x: row[key], y: (moved * row.measured) / row.expected };
  });
  return { setting, curve, measured };
}

const chance = (amps: number, travel: number): number | null => {
  if (amps / travel > 62) return null;
  const off = (trueWidth(amps, travel, 20) - 6.2) / 0.45;
  return Math.exp(-(off ** 4)) * (travel > 4.4 ? Math.exp(-2 * (travel - 4.4)) : 1);
};

const ampsGrid = steps(90, 150, 31);
const speedGrid = steps(2, 5, 31);

const days = ["Day 1", "Day 2", "Day 3", "Day 4"];

/** Data of every chart as realistic invented input, by name. */
export const inputs = frozen({
  response: {
    response: width,
    level: 0.95,
    held: "others at mid-range; dots moved there along the fit",
    panels: [responsePanel(current, 90, 150), responsePanel(speed, 2, 5), responsePanel(feed, 12, 28)],
  },
  responseOne: { response: width, level: 0.9, panels: [responsePanel(speed, 2, 5)] },
  predicted: {
    response: width,
    level: 0.95,
    coupons: coupons.map(({ coupon, measured, expected }) => ({
      coupon,
      measured,
      predicted: expected,
      low: expected * 0.918,
      high: expected * 1.082,
    })),
  },
  residuals: {
    response: { name: "bead_width", unit: "mm" },
    limit: 0.36,
    residuals: coupons.map(({ coupon, run, measured, expected }) => ({
      coupon,
      run,
      residual: measured - expected,
      block: days[Math.floor((run - 1) / 8)]!,
    })),
  },
  normalQuantiles: {
    response: width,
    residuals: coupons.map(({ coupon, measured, expected }) => ({ coupon, residual: measured - expected })),
  },
  effects: {
    title: "Exponents of bead width",
    effect: { name: "exponent", unit: "1" },
    level: 0.95,
    effects: [
      { name: "Current", estimate: 0.83, low: 0.71, high: 0.95 },
      { name: "Travel speed", estimate: -0.46, low: -0.52, high: -0.4 },
      { name: "Wire feed speed", estimate: 0.14, low: 0.06, high: 0.22 },
      { name: "Stand-off", estimate: 0.03, low: -0.05, high: 0.11 },
      { name: "Interpass temperature", estimate: 0.05, low: -0.01, high: 0.11 },
    ],
  },
  correlations: {
    names: ["current", "travel_speed", "wire_feed_speed", "arc_voltage", "interpass_temperature"],
    correlations: [
      [1, -0.08, 0.12, 0.93, 0.31],
      [-0.08, 1, 0.64, -0.11, -0.2],
      [0.12, 0.64, 1, 0.05, 0.02],
      [0.93, -0.11, 0.05, 1, 0.44],
      [0.31, -0.2, 0.02, 0.44, 1],
    ],
  },
  conformance: {
    xSetting: current,
    ySetting: speed,
    x: ampsGrid,
    y: speedGrid,
    chance: speedGrid.map((travel) => ampsGrid.map((amps) => chance(amps, travel))),
    level: 0.9,
    coupons: coupons.map((row) => ({
      coupon: row.coupon,
      x: row.current,
      y: row.travel_speed,
      passed: Math.abs(row.measured - 6.2) < 0.45,
    })),
    recommended: { x: 121, y: 3.6 },
    held: [
      { name: "wire_feed_speed", value: 20, unit: "mm/s" },
      { name: "standoff", value: 3, unit: "mm" },
    ],
  },
  chanceProfiles: {
    level: 0.9,
    profiles: [
      { setting: current, centre: 121, from: 90, to: 150, spread: 14 },
      { setting: speed, centre: 3.6, from: 2, to: 5, spread: 0.7 },
      { setting: feed, centre: 20, from: 12, to: 28, spread: 7 },
    ].map(({ setting, centre, from, to, spread }) => ({
      setting,
      recommended: centre,
      curve: steps(from, to, 61).map((x) => ({
        x,
        chance: 0.98 * Math.exp(-(((x - centre) / spread) ** 4)),
      })),
      allowed: { low: centre - spread * 0.54, high: centre + spread * 0.54 },
    })),
  },
  stations: {
    response: { name: "bead_height", unit: "mm" },
    position: { name: "distance from start", unit: "mm" },
    beads: [
      { coupon: "C03", slope: 0.002, dropOut: -1, missing: -1 },
      { coupon: "C07", slope: -0.001, dropOut: 4, missing: -1 },
      { coupon: "C12", slope: 0.0005, dropOut: 7, missing: 2 },
      { coupon: "C21", slope: 0.004, dropOut: -1, missing: 9 },
    ].map(({ coupon, slope, dropOut, missing }, b) => ({
      coupon,
      readings: steps(5, 95, 10).map((at, i) => ({
        at,
        value:
          i === missing
            ? null
            : i === dropOut
              ? 0.42
              : 1.8 + 0.1 * b + slope * at + 0.05 * Math.sin(3 * i + b),
        dropOut: i === dropOut,
      })),
    })),
  },
  windowRanges: {
    level: 0.9,
    ranges: [
      {
        setting: current,
        studied: { low: 90, high: 150 },
        window: { low: 113.4, high: 128.6 },
        recommended: 121,
      },
      {
        setting: speed,
        studied: { low: 2, high: 5 },
        window: { low: 3.22, high: 3.98 },
        recommended: 3.6,
      },
      {
        setting: feed,
        studied: { low: 12, high: 28 },
        window: { low: 16.2, high: 23.8 },
        recommended: 20,
      },
      {
        setting: { name: "interpass_temperature", unit: "degC" },
        studied: { low: 20, high: 180 },
        window: { low: 20, high: 150 },
        recommended: 100,
      },
    ],
  },
  standoff: {
    name: "standoff",
    level: 0.9,
    touch: 0.5,
    tooLong: 6,
    forecast: Array.from({ length: 41 }, (_, layer) => ({
      layer,
      expected: 3 - 0.03 * layer,
      low: 3 - 0.03 * layer - 1.645 * 0.16 * Math.sqrt(layer),
      high: 3 - 0.03 * layer + 1.645 * 0.16 * Math.sqrt(layer),
    })),
    measured: [0, 4, 8, 12].map((layer) => ({ layer, value: 3 - 0.03 * layer + 0.12 * Math.sin(layer) })),
  },
  wall: {
    standoff: 3,
    touch: 0.5,
    tooLong: 5.5,
    level: 0.9,
    layers: Array.from({ length: 40 }, (_, i) => {
      const since = i % 10;
      const half = 1.645 * Math.hypot(0.1, 0.18 * since);
      return {
        layer: i + 1,
        rise: i === 0 ? 0 : 1.6 + 0.25 * Math.exp(-i / 9),
        standoff: 3,
        standoffLow: 3 - half,
        standoffHigh: 3 + half,
        relevel: i > 0 && since === 0,
      };
    }),
  },
  layerLog: {
    series: [
      {
        quantity: { name: "interpass_temperature", unit: "degC" },
        upper: 150,
        readings: Array.from({ length: 36 }, (_, i) => ({
          layer: i + 1,
          value: 150 - 110 * Math.exp(-i / 9) + 8 * Math.sin(1.7 * i),
        })),
      },
      {
        quantity: { name: "layer_height", unit: "mm" },
        lower: 1.2,
        upper: 1.7,
        readings: Array.from({ length: 36 }, (_, i) => ({
          layer: i + 1,
          value: 1.55 - 0.004 * i + 0.06 * Math.sin(2.3 * i),
        })),
      },
      {
        quantity: { name: "arc_voltage", unit: "V" },
        readings: Array.from({ length: 36 }, (_, i) => ({
          layer: i + 1,
          value: 11.8 + 0.01 * i + 0.15 * Math.cos(3 * i),
        })),
      },
    ],
    incidents: [
      { layer: 9, kind: "wire jam" },
      { layer: 24, kind: "touch" },
    ],
  },
  control: {
    quantity: { name: "bead_width", unit: "mm" },
    control: controlChart(
      Array.from({ length: 20 }, (_, i) => ({
        label: `K${i + 1}`,
        value: 6 + 0.1 * Math.sin(5 * i * i) + (i >= 13 ? 0.35 : 0),
        ...(i === 12 ? { change: "gas_cylinder" } : {}),
      })),
      { baseline: 12 },
    ),
  },
  trace: {
    file: "monday.csv",
    partial: true,
    span: [0, 60] as const,
    envelope: Array.from({ length: 240 }, (_, i) => {
      const on = i % 120 > 8 && i % 120 < 100;
      const [current, voltage] = on ? [140 + 4 * Math.sin(i / 9), 12 + 0.2 * Math.cos(i / 5)] : [0, 0];
      return {
        time: i / 4,
        current: [0.9 * current, current, 1.1 * current] as const,
        voltage: [0.8 * voltage, voltage, 1.2 * voltage] as const,
      };
    }),
    stretches: [
      { from: 2.25, to: 25, name: "C07" },
      { from: 32.25, to: 55, name: "C08 <again>" },
    ],
    events: [
      { kind: "ignition", start: 2.25, duration: 0 },
      { kind: "touch", start: 11, duration: 0.06 },
      { kind: "stuck", start: 18, duration: 0.7 },
      { kind: "misfire", start: 31.8, duration: 0.01 },
      { kind: "ignition", start: 32.25, duration: 0 },
      { kind: "lost", start: 47, duration: 0.9 },
    ] as const,
  },
  pareto: {
    title: "What went wrong, and what it cost",
    measure: "Minutes lost",
    bars: [
      { name: "wire_stuck", value: 140, note: "7 times" },
      { name: "torch_touched", value: 95, note: "2 times, 1 scrapped" },
      { name: "arc_lost", value: 0 },
    ],
  },
  growth: {
    what: "All incidents",
    running: "Arc time (h)",
    times: [0.4, 0.9, 2.2, 5, 9.5, 14],
    end: 30,
    law: { scale: 1.1, shape: 0.55 },
    marks: [{ at: 6, name: "liner" }],
  },
  timeline: {
    coupons: coupons.map(({ coupon, run, measured }) => ({
      coupon,
      block: days[Math.floor((run - 1) / 8)]!,
      outcome:
        run === 5
          ? ("voided" as const)
          : run === 20
            ? ("not judged" as const)
            : Math.abs(measured - 6.2) < 0.7
              ? ("passed" as const)
              : ("failed" as const),
    })),
    changes: [
      { before: "C12", what: "new tungsten" },
      { before: "C27", what: "new spool" },
    ],
  },
});

/** A chart function with data that it takes. */
export interface Sample {
  // Charts take different data; that each sample fits its chart is checked where the two are joined.
  readonly draw: (data: never) => ChartSpec;
  readonly data: unknown;
}

/** Joins a chart to its data. */
export const sample = <T>(draw: (data: T) => ChartSpec, data: T): Sample => ({ draw, data });

/** Every chart of the library with invented data. */
export const sampleCharts: Readonly<Record<string, Sample>> = {
  ...studySamples,
  response: sample(chartResponse, inputs.response),
  "response-one-setting": sample(chartResponse, inputs.responseOne),
  predicted: sample(chartPredicted, inputs.predicted),
  residuals: sample(chartResiduals, inputs.residuals),
  "normal-quantiles": sample(chartNormalQuantiles, inputs.normalQuantiles),
  effects: sample(chartEffects, inputs.effects),
  correlations: sample(chartCorrelations, inputs.correlations),
  conformance: sample(chartConformance, inputs.conformance),
  "chance-profiles": sample(chartChanceProfiles, inputs.chanceProfiles),
  stations: sample(chartStations, inputs.stations),
  "window-ranges": sample(chartWindowRanges, inputs.windowRanges),
  standoff: sample(chartStandoff, inputs.standoff),
  wall: sample(chartWall, inputs.wall),
  "layer-log": sample(chartLayerLog, inputs.layerLog),
  control: sample(chartControl, inputs.control),
  trace: sample(chartTrace, inputs.trace),
  pareto: sample(chartPareto, inputs.pareto),
  growth: sample(chartGrowth, inputs.growth),
  timeline: sample(chartTimeline, inputs.timeline),
};

/** Every chart drawn. */
export const samples: Readonly<Record<string, () => ChartSpec>> = Object.fromEntries(
  Object.entries(sampleCharts).map(([name, { draw, data }]) => [name, () => draw(data as never)]),
);
