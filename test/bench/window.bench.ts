import { fileURLToPath } from "node:url";
import { buildOutcomeModel } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { type Coupon, parseStudyDefinition, type StudyDefinition } from "../../lib/study/index.js";
import { conformanceChances, findWindow, proposeNext } from "../../lib/window/index.js";
import { results } from "../support/studies.js";
import type { BenchRow } from "./peer.js";

const definition = parseStudyDefinition({
  schema: "beadbench/study/1",
  name: "large",
  process: "141",
  wire: { classification: "ER308L", diameter: "1.0 mm" },
  factors: [
    { name: "current", unit: "A", low: 80, high: 200, step: 2 },
    { name: "travel_speed", unit: "mm/min", low: 80, high: 300, step: 5 },
    { name: "wire_feed_speed", unit: "m/min", low: 0.5, high: 2.5, step: 0.05 },
    { name: "standoff", unit: "mm", low: 1.5, high: 5, step: 0.5 },
    { name: "interpass_temperature", unit: "degC", low: 50, high: 250, step: 10 },
  ],
  responses: [
    { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 6.5 } },
    { name: "bead_height", unit: "mm", spec: { lower: 1.5, upper: 2.1 } },
    { name: "penetration", unit: "mm", scale: "log", spec: { lower: 0.6, upper: 1.6 } },
    { name: "toe_angle", unit: "deg", spec: { upper: 75 } },
    { name: "sound", kind: "passFail" },
    { name: "clean", kind: "passFail" },
  ],
});

/** Settings that the laws below leave alone, to see what more of them cost. */
const more = ["gas_flow", "preheat", "dwell"].map((name) => ({ name, unit: "1", low: 0, high: 1 }));

/** Coupons by simple laws: only the work counts here. */
function coupons(count = 100): readonly Coupon[] {
  const stream = randomStream(4);
  return Array.from({ length: count }, (_, i): Coupon => {
    const u = (low: number, high: number): number => low + (high - low) * stream.uniform();
    const settings = {
      current: u(90, 180),
      travel_speed: u(100, 250),
      wire_feed_speed: u(0.8, 2),
      standoff: u(2, 4),
      interpass_temperature: u(60, 200),
      ...Object.fromEntries(more.map(({ name }, j) => [name, ((i * (j + 3)) % 17) / 17])),
    };
    const width =
      0.42 *
      settings.current ** 0.7 *
      (settings.travel_speed / 60) ** -0.45 *
      Math.exp(0.04 * stream.normal());
    const area = (0.785 * settings.wire_feed_speed * 1000) / settings.travel_speed;
    const sound = settings.wire_feed_speed / settings.current < 0.0135;
    const height = (area / (0.68 * width)) * Math.exp(0.04 * stream.normal());
    return {
      id: `C${i}`,
      state: "logged",
      order: i + 1,
      blocks: {},
      settings,
      context: {},
      results: results({
        measured: sound
          ? {
              bead_width: width,
              bead_height: height,
              penetration: 0.011 * settings.current * Math.exp(0.1 * stream.normal()),
              toe_angle: (Math.atan((4 * height) / width) * 180) / Math.PI + stream.normal(),
            }
          : {},
        passed: { sound, clean: settings.standoff < 3.8 },
      }),
      notes: [],
      time: `2026-01-${10 + Math.floor(i / 10)}T10:00:00Z`,
      seq: i + 1,
    };
  });
}

/** The same study with settings held loosely, specifications so wide that half of all settings do, or more factors. */
function variant({
  loose = false,
  wide = false,
  factors = 5,
}: {
  readonly loose?: boolean;
  readonly wide?: boolean;
  readonly factors?: number;
}): StudyDefinition {
  return parseStudyDefinition({
    ...definition,
    factors: [...definition.factors, ...more].slice(0, factors).map((factor) => ({
      ...factor,
      ...(loose && { settingSd: 0.02 * (factor.high - factor.low) }),
    })),
    responses: definition.responses.map((response) =>
      wide && response.kind === "measured" ? { ...response, spec: { lower: 0.1, upper: 150 } } : response,
    ),
  });
}

/** Time of the loop's steps on 100 coupons, 5 factors and 6 responses, on one core, and how it grows. */
export function benchWindow(): readonly BenchRow[] {
  const data = coupons();
  const time = (work: () => void): number => {
    work();
    const from = performance.now();
    work();
    return performance.now() - from;
  };
  const row = (name: string, ours_ms: number, target: string): BenchRow => ({
    name,
    ours_ms,
    peer: "no peer",
    peer_ms: Number.NaN,
    ratio: Number.NaN,
    target,
  });
  const chanceRow = (loose: boolean, wide: boolean): BenchRow => {
    const model = buildOutcomeModel({ definition: variant({ loose, wide }), coupons: data });
    return row(
      `chance at 100000 settings${loose ? ", held loosely" : ""}${wide ? ", wide specifications" : ""}`,
      time(() => {
        conformanceChances(model, settings);
      }),
      "0.5 s",
    );
  };
  const stream = randomStream(8);
  const settings = Array.from({ length: 100_000 }, () =>
    Object.fromEntries(
      definition.factors.map(({ name, low, high }) => [name, low + (high - low) * stream.uniform()]),
    ),
  );
  return [
    row(
      "fit and propose 6 coupons",
      time(() => {
        proposeNext(buildOutcomeModel({ definition, coupons: data }), { coupons: 6 });
      }),
      "2 s",
    ),
    row(
      "fit and find the window",
      time(() => {
        findWindow(buildOutcomeModel({ definition, coupons: data }));
      }),
      "1 s",
    ),
    ...[false, true].flatMap((wide) => [false, true].map((loose) => chanceRow(loose, wide))),
    ...[100, 500, 2000].map((count) => {
      const many = coupons(count);
      return row(
        `fit ${count} coupons`,
        time(() => {
          buildOutcomeModel({ definition, coupons: many });
        }),
        "grows no faster than the coupons",
      );
    }),
    ...[3, 5, 8].map((factors) => {
      const study = variant({ factors });
      return row(
        `fit and find the window, ${factors} factors`,
        time(() => {
          findWindow(buildOutcomeModel({ definition: study, coupons: data }));
        }),
        "1 s at 5",
      );
    }),
  ];
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const { name, ours_ms, target } of benchWindow())
    console.log(`${name}: ${ours_ms.toFixed(0)} ms (aim ${target})`);
}
