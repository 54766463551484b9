import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon, StudyDefinition } from "../../../lib/study/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";

/** An invented gas-metal-arc rig of four settings: A, mm/min, m/min, mm. */
export type MigSettings = Readonly<
  Record<"current" | "travel_speed" | "wire_feed_speed" | "contact_tip_distance", number>
>;

const ranges = {
  current: [120, 260],
  travel_speed: [150, 600],
  wire_feed_speed: [3, 9],
  contact_tip_distance: [10, 20],
} as const;

/** A study of its width alone. */
export const migStudy: StudyDefinition = tigDefinition({
  process: "135",
  factors: [
    { name: "current", unit: "A", low: 120, high: 260 },
    { name: "travel_speed", unit: "mm/min", low: 150, high: 600 },
    { name: "wire_feed_speed", unit: "m/min", low: 3, high: 9 },
    { name: "contact_tip_distance", unit: "mm", low: 10, high: 20 },
  ],
  responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
});

const ln = Math.log;
const power = (s: MigSettings): number =>
  ln(6) +
  0.5 * ln(s.current / 180) -
  0.4 * ln(s.travel_speed / 300) +
  0.25 * ln(s.wire_feed_speed / 6) -
  0.1 * ln(s.contact_tip_distance / 14);

/** Invented laws of ln width; none but the first is held by any form. */
export const migLaws: Readonly<Record<string, (s: MigSettings) => number>> = {
  power,
  saturating: (s) => {
    const fed = (s.current * s.wire_feed_speed) / s.travel_speed / 3;
    return ln(4 + (6 * fed) / (1 + fed));
  },
  interacting: (s) => power(s) + 0.6 * ln(s.current / 180) * ln(s.travel_speed / 300),
  threshold: (s) => power(s) + 0.25 / (1 + Math.exp(-(s.current - 200) / 8)),
  "droplet transition": (s) => power(s) - 0.2 * Math.tanh((s.current - 30 * s.wire_feed_speed - 10) / 15),
  "heat accumulation": (s) =>
    power(s) + 0.35 * Math.exp(-(s.travel_speed - 150) / 120) * (s.current / 180) ** 2,
  "spray onset": (s) =>
    s.current > 190 + 1.5 * (s.contact_tip_distance - 14)
      ? power(s) + 0.15 + 0.3 * ln(s.current / 190)
      : power(s),
};

/** Settings drawn evenly in their logarithms, `edge` of the range kept off its ends. */
export function drawMig(seed: number, count: number, edge = 0): readonly MigSettings[] {
  const rng = randomStream(seed);
  const between = ([low, high]: readonly [number, number]): number =>
    low * (high / low) ** (edge + (1 - 2 * edge) * rng.uniform());
  return Array.from({ length: count }, () => ({
    current: between(ranges.current),
    travel_speed: between(ranges.travel_speed),
    wire_feed_speed: between(ranges.wire_feed_speed),
    contact_tip_distance: between(ranges.contact_tip_distance),
  }));
}

/** Beads of a law with 5 % scatter at some settings; the first ones are run again where coupons are left. */
export function migBeads(law: string, seed: number, settings: number, coupons: number): readonly Coupon[] {
  const noise = randomStream(seed).split("scatter");
  const drawn = drawMig(seed, settings);
  return Array.from({ length: coupons }, (_, i) => {
    const at = drawn[i % settings]!;
    return coupon(`M${i + 1}`, {
      order: i + 1,
      settings: at,
      measured: { bead_width: Math.exp(migLaws[law]!(at) + 0.05 * noise.normal()) },
    });
  });
}
