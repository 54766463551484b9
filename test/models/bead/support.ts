import type { FormName, StudyFit } from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";

/** Settings of an invented TIG rig: A, mm/min, m/min. */
export type RigSettings = Readonly<Record<"current" | "travel_speed" | "wire_feed_speed", number>>;

/** A study of width alone. */
export const widthStudy = tigDefinition({
  responses: [{ name: "bead_width", unit: "mm", kind: "measured" }],
});

const ln = Math.log;
const power = (s: RigSettings): number =>
  ln(6) + 0.7 * ln(s.current / 140) - 0.45 * ln(s.travel_speed / 180) + 0.1 * ln(s.wire_feed_speed / 1.1);

/** Invented laws of ln width, one for each form. */
export const laws = {
  "power-law": power,
  "energy-balance": (s: RigSettings) =>
    ln(6) +
    0.6 * ln((s.current / s.travel_speed) * (180 / 140)) +
    0.15 * ln((s.wire_feed_speed / s.travel_speed) * (180 / 1.1)),
  quadratic: (s: RigSettings) => {
    const [c, v, f] = [(s.current - 150) / 50, (s.travel_speed - 200) / 100, (s.wire_feed_speed - 1.3) / 0.7];
    return ln(6) + 0.25 * c - 0.2 * v + 0.05 * f - 0.25 * c * c + 0.2 * c * v - 0.15 * v * v;
  },
  "gaussian-process": (s: RigSettings) =>
    power(s) + 0.2 * Math.sin((s.current - 150) / 17) + 0.15 * Math.sin((s.travel_speed - 200) / 40),
} as const;

/** Settings drawn inside the rig's ranges; `edge` keeps off their ends. */
export function drawSettings(seed: number, count: number, edge = 0): readonly RigSettings[] {
  const rng = randomStream(seed);
  const between = (low: number, high: number): number => {
    const inset = edge * (high - low);
    return low + inset + (high - low - 2 * inset) * rng.uniform();
  };
  return Array.from({ length: count }, () => ({
    current: between(100, 200),
    travel_speed: between(100, 300),
    wire_feed_speed: between(0.6, 2),
  }));
}

/** Beads of a rig that follows a law of ln width, with 5 % scatter; every fourth setting is run twice. */
export function beadsOf(law: (s: RigSettings) => number, seed: number, count: number): readonly Coupon[] {
  const noise = randomStream(seed).split("scatter");
  const settings = drawSettings(seed, count);
  return settings.map((_, i) => {
    const at = settings[i % 4 === 3 ? i - 1 : i]!;
    return coupon(`S${i + 1}`, {
      order: i + 1,
      settings: at,
      measured: { bead_width: Math.exp(law(at) + 0.05 * noise.normal()) },
    });
  });
}

/** The fit as if each response were predicted by one form alone: the chosen one, or another. */
export function byForm(fit: StudyFit, form?: FormName): StudyFit {
  return {
    ...fit,
    responses: fit.responses.map((response) => ({
      ...response,
      chosen: form ?? response.chosen,
      foreseenBy: "chosen",
    })),
  };
}
