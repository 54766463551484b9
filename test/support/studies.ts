import { mean, randomStream } from "../../lib/numeric/index.js";
import {
  type Coupon,
  measuredOf,
  parseStudyDefinition,
  type Result,
  type Scatter,
  type StudyDefinition,
} from "../../lib/study/index.js";

/** A small TIG study of three settings; parts can be replaced. */
export function tigDefinition(parts: Readonly<Record<string, unknown>> = {}): StudyDefinition {
  return parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "test study",
    process: "141",
    wire: { classification: "ER308L", diameter: "1.2 mm" },
    factors: [
      { name: "current", unit: "A", low: 100, high: 200 },
      { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 2 },
    ],
    responses: [
      { name: "bead_width", unit: "mm", kind: "measured", spec: { lower: 5, upper: 7 }, scale: "log" },
      { name: "bead_height", unit: "mm", kind: "measured", spec: { lower: 1.5, upper: 2.5 }, scale: "log" },
      { name: "sound_bead", kind: "passFail" },
    ],
    ...parts,
  });
}

/** Results of a coupon as tests write them: measured values, readings at stations, verdicts and grades by response. */
export interface Shown {
  readonly measured?: Readonly<Record<string, number>>;
  readonly scatter?: Readonly<Record<string, Scatter>>;
  readonly passed?: Readonly<Record<string, boolean>>;
  readonly grades?: Readonly<Record<string, number>>;
}

/** The results of {@link Shown}, kinds told apart. */
export function results({ measured, scatter = {}, passed, grades }: Shown): Coupon["results"] {
  const each = <T>(values: Readonly<Record<string, T>> = {}, make: (value: T, name: string) => Result) =>
    Object.entries(values).map(([name, value]) => [name, make(value, name)]);
  return Object.fromEntries([
    ...each(scatter, (one) => ({ kind: "measured", value: mean(one.readings), scatter: one })),
    ...each(measured, (value, name) => {
      const one = Object.hasOwn(scatter, name) ? scatter[name] : undefined;
      return { kind: "measured", value, ...(one === undefined ? {} : { scatter: one }) };
    }),
    ...each(passed, (value) => ({ kind: "passFail", passed: value })),
    ...each(grades, (grade) => ({ kind: "grade", grade })),
  ]);
}

/** The same coupon with some results added or replaced. */
export function shows(coupon: Coupon, shown: Shown): Coupon {
  return { ...coupon, results: { ...coupon.results, ...results(shown) } };
}

/** A measured value that must be there. */
export function sizeOf(coupon: Coupon, response: string): number {
  const value = measuredOf(coupon, response);
  if (value === undefined) throw new Error(`${coupon.id} has no ${response}`);
  return value;
}

/** A logged coupon; parts can be replaced. */
export function coupon(
  id: string,
  { measured, scatter, passed, grades, ...parts }: Partial<Coupon> & Shown,
): Coupon {
  return {
    id,
    state: "logged",
    order: 1,
    blocks: {},
    settings: {},
    context: {},
    results: results({
      ...(measured && { measured }),
      ...(scatter && { scatter }),
      ...(passed && { passed }),
      ...(grades && { grades }),
    }),
    notes: [],
    time: "2026-01-01T08:00:00Z",
    seq: 1,
    ...parts,
  };
}

/** Truth of a simulated power-law rig: exponents of current, travel speed and feed on the width. */
export const widthExponents = { current: 0.7, travel_speed: -0.45, wire_feed_speed: 0.1 } as const;
export const trueFullness = 0.68;
const REFERENCE = { current: 140, travel_speed: 180, wire_feed_speed: 1.1 } as const;

/** Beads of a power-law rig with proportional scatter; every third setting is run twice. */
export function simulatedBeads(seed: number, count: number, sd: number): readonly Coupon[] {
  const rng = randomStream(seed);
  const between = (low: number, high: number): number => low + (high - low) * rng.uniform();
  let settings = { current: 0, travel_speed: 0, wire_feed_speed: 0 };
  return Array.from({ length: count }, (_, i) => {
    if (i % 3 !== 2) {
      settings = {
        current: between(100, 200),
        travel_speed: between(100, 300),
        wire_feed_speed: between(0.6, 2),
      };
    }
    const logWidth =
      Math.log(6) +
      Object.entries(widthExponents).reduce(
        (sum, [name, b]) =>
          sum +
          b * Math.log(settings[name as keyof typeof settings] / REFERENCE[name as keyof typeof REFERENCE]),
        0,
      );
    // Fed area: 1.2 mm wire, 99 % deposited, m/min over mm/min.
    const area = (0.99 * Math.PI * 0.36 * settings.wire_feed_speed * 1000) / settings.travel_speed;
    const width = Math.exp(logWidth + sd * rng.normal());
    const height = (area / (trueFullness * Math.exp(logWidth))) * Math.exp(sd * rng.normal());
    return coupon(`S${i + 1}`, {
      order: i + 1,
      settings,
      measured: { bead_width: width, bead_height: height },
      passed: { sound_bead: true },
    });
  });
}
