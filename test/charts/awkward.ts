import {
  type ChartSpec,
  chartControl,
  chartCoverage,
  chartEffects,
  chartGain,
  chartGrowth,
  chartLayerLog,
  chartLearning,
  chartNormalQuantiles,
  chartPareto,
  chartPredicted,
  chartResiduals,
  chartSuspects,
  chartTimeline,
} from "../../lib/charts/index.js";
import { controlChart } from "../../lib/endurance/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { sampleCharts } from "./samples.js";
import { studyInputs } from "./study-samples.js";

/** Names that people type or paste: long, of other scripts, with marks that mean something to a program. */
export const awkwardNames = {
  long: "interpass_temperature_measured_behind_the_torch_with_a_contact_thermometer",
  script: "Drahtvorschub_Ω_測定値_скорость_🔥",
  markup: "</svg><script>alert(1)</script>&amp;",
  path: "a.b[0]['c']\\d",
  quotes: 'it\'s "said" `so` $1\u2028next',
  object: "constructor",
  proto: "__proto__",
  empty: " ",
} as const;

/** Fields that hold what people typed; units and the words of our own lists stay. */
const typed = new Set([
  "name",
  "coupon",
  "before",
  "block",
  "what",
  "kind",
  "title",
  "reason",
  "change",
  "label",
  "names",
]);

/** Data with every typed word made awkward, the same word always the same way; the first letter keeps words apart. */
function renamed(value: unknown, name: string, key = ""): unknown {
  if (typeof value === "string") return typed.has(key) ? `${name}${value}` : value;
  if (Array.isArray(value)) return value.map((part) => renamed(part, name, key));
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([k, part]) => [k, renamed(part, name, k)]));
}

const many = Array.from({ length: 500 }, (_, i) => i);
const random = randomStream(5);
const noise = many.map(() => random.normal());
const width = { name: "bead_width", unit: "mm" };
const id = (i: number): string => `C${String(i + 1).padStart(3, "0")}`;

const residuals = (scale: number, n: number) =>
  many.slice(0, n).map((i) => ({
    coupon: id(i),
    run: i + 1,
    residual: scale * noise[i]!,
    block: `day ${Math.floor(i / 20)}`,
  }));

const predicted = (scale: number, n: number) =>
  many.slice(0, n).map((i) => {
    const fit = scale * (6 + noise[i]!);
    return {
      coupon: id(i),
      measured: fit + 0.2 * scale * noise[499 - i]!,
      predicted: fit,
      low: fit - 0.4 * scale,
      high: fit + 0.4 * scale,
    };
  });

const [pair] = studyInputs.coverage.pairs;

/** Charts of 500 coupons, of numbers large and small, and of hardly anything. */
const extremes: Readonly<Record<string, () => ChartSpec>> = {
  ...Object.fromEntries(
    ([1e12, 1e-9, 0] as const).flatMap((scale) => [
      [
        `residuals times ${scale}`,
        () => chartResiduals({ response: width, limit: 2 * scale, residuals: residuals(scale, 30) }),
      ],
      [
        `predicted times ${scale}`,
        () => chartPredicted({ response: width, level: 0.95, coupons: predicted(scale, 30) }),
      ],
      [
        `effects times ${scale}`,
        () =>
          chartEffects({
            title: "Effects",
            effect: { name: "change_per_half_range", unit: "mm" },
            level: 0.95,
            effects: [{ name: "current", estimate: scale, low: -scale, high: 3 * scale }],
          }),
      ],
    ]),
  ),
  "residuals of 500": () => chartResiduals({ response: width, limit: 2.5, residuals: residuals(1, 500) }),
  "predicted of 500": () => chartPredicted({ response: width, level: 0.95, coupons: predicted(1, 500) }),
  "normal quantiles of 500": () => chartNormalQuantiles({ response: width, residuals: residuals(1, 500) }),
  "timeline of 500": () =>
    chartTimeline({
      coupons: many.map((i) => ({
        coupon: id(i),
        block: `day ${Math.floor(i / 50)}`,
        outcome: noise[i]! > 0 ? "passed" : "failed",
      })),
      changes: [10, 11, 12, 13, 499].map((i) => ({
        before: id(i),
        what: "new tungsten, ground to 30 degrees",
      })),
    }),
  "coverage of 500": () =>
    chartCoverage({
      pairs: [
        {
          ...pair!,
          places: many.map((i) => ({ x: 135 + 20 * noise[i]!, y: i % 2, stage: "run", coupons: [id(i)] })),
        },
      ],
    }),
  "coverage of none": () =>
    chartCoverage({
      pairs: [
        {
          ...pair!,
          places: [],
          empty: [0, 1, 2].flatMap((i) => [0, 1].map((j) => [i, j] as const)),
          barred: [],
        },
      ],
    }),
  "gain of 500": () =>
    chartGain({ rows: many.map((i) => ({ name: id(i), expected: 1 / (i + 5), gained: 0.1 * noise[i]! })) }),
  "gain of one": () => chartGain({ rows: [{ name: "C001", expected: 0 }] }),
  "suspects of 500": () =>
    chartSuspects({
      suspects: many.map((i) => ({ coupon: id(i), chance: i / 500, reason: "bead width 58 mm" })),
    }),
  "learning of none": () => chartLearning({ steps: [{ coupons: 0, chance: 0.07, interval: [0, 0.7] }] }),
  "learning of 500": () =>
    chartLearning({
      steps: many.map((i) => ({ coupons: i, chance: i / 500, interval: [i / 600, Math.min(1, i / 400)] })),
    }),
  "layer log of 500": () =>
    chartLayerLog({
      series: [
        { quantity: width, readings: many.map((i) => ({ layer: i + 1, value: 6 + noise[i]! })), upper: 8 },
      ],
      incidents: [1, 2, 3, 250, 500].map((layer) => ({ layer, kind: "wire jam at the drive rolls" })),
    }),
  "control of 500": () =>
    chartControl({
      quantity: width,
      control: controlChart(
        many.map((i) => ({
          label: id(i),
          value: 6 + noise[i]!,
          ...(i % 100 === 50 ? { change: "gas_cylinder, tungsten" } : {}),
        })),
      ),
    }),
  "pareto of 40": () =>
    chartPareto({
      title: "What went wrong",
      measure: "Minutes lost",
      bars: many
        .slice(0, 40)
        .map((i) => ({ name: `kind_${i}`, value: 1e6 / (i + 1), note: "12345 times, 999 scrapped" })),
    }),
  "growth of 500": () =>
    chartGrowth({
      what: "All incidents",
      running: "Arc time (h)",
      times: many.map((i) => i + 0.5),
      end: 500,
      marks: [
        { at: 1, name: awkwardNames.long },
        { at: 499, name: "liner" },
      ],
    }),
};

/** Every chart with awkward names, and charts of awkward amounts. */
export const awkward: Readonly<Record<string, () => ChartSpec>> = {
  ...Object.fromEntries(
    Object.entries(sampleCharts).flatMap(([chart, { draw, data }]) =>
      Object.entries(awkwardNames).map(([kind, name]) => [
        `${chart}, ${kind} names`,
        () => draw(renamed(data, name) as never),
      ]),
    ),
  ),
  ...extremes,
};
