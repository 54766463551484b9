import { normalCdf, normalQuantile, type RandomStream } from "../../lib/numeric/index.js";
import type { StudyDefinition } from "../../lib/study/index.js";

/** What a simulated rig does at one setting on one day. */
export interface RigState {
  /** Median of each measured response. */
  readonly medians: Readonly<Record<string, number>>;
  /** Chance that each check is passed. */
  readonly checks: Readonly<Record<string, number>>;
}

/** Settings in SI-derived units: A, V, mm/s, mm. */
export type RigSettings = Readonly<Record<string, number>>;

/** The formulas of a rig, hidden from the study that tunes it. */
export interface RigFormulas {
  readonly name: string;
  readonly definition: StudyDefinition;
  /** `day` is a standard normal number, one per day. */
  readonly state: (settings: RigSettings, day: number) => RigState;
  /** Proportional scatter of each measured response from coupon to coupon. */
  readonly scatter: Readonly<Record<string, number>>;
  /** Correlation of the scatter of the first two responses. */
  readonly correlation?: number;
}

/** One simulated coupon; a failed one yields no dimensions. */
export interface RigOutcome {
  readonly passed: Readonly<Record<string, boolean>>;
  readonly measured: Readonly<Record<string, number>>;
}

/** Settings of a study in SI-derived units; speeds are the only ones these rigs state otherwise. */
const toSi: Readonly<Record<string, number>> = {
  "mm/min": 1 / 60,
  "m/min": 1000 / 60,
  "in/min": 25.4 / 60,
};

/** Settings in the units of {@link RigSettings}; of a category the place of its level. */
export function siSettings(
  definition: StudyDefinition,
  settings: Readonly<Record<string, number | string>>,
): RigSettings {
  return Object.fromEntries(
    definition.factors.map((factor) => [
      factor.name,
      factor.kind === "category"
        ? factor.levels!.indexOf(settings[factor.name]!)
        : Number(settings[factor.name]) * (toSi[factor.unit] ?? 1),
    ]),
  );
}

/** Runs one coupon. */
export function runCoupon(
  rig: RigFormulas,
  settings: Readonly<Record<string, number | string>>,
  day: number,
  stream: RandomStream,
): RigOutcome {
  const state = rig.state(siSettings(rig.definition, settings), day);
  const passed: Record<string, boolean> = {};
  for (const [check, chance] of Object.entries(state.checks)) passed[check] = stream.uniform() < chance;
  const first = stream.normal();
  const rho = rig.correlation ?? 0;
  const measured: Record<string, number> = {};
  Object.entries(state.medians).forEach(([name, median], i) => {
    const z = i === 0 ? first : rho * first + Math.sqrt(1 - rho * rho) * stream.normal();
    measured[name] = Number((median * Math.exp(rig.scatter[name]! * z)).toPrecision(4));
  });
  return { passed, measured: Object.values(passed).every(Boolean) ? measured : {} };
}

/** Nodes and weights of a 5-point rule for the standard normal (Gauss-Hermite; Abramowitz and Stegun 25.4.46). */
const days: readonly (readonly [number, number])[] = [
  [-2.8569700138728, 0.0112574113277],
  [-1.3556261799742, 0.2220759220056],
  [0, 0.5333333333333],
  [1.3556261799742, 0.2220759220056],
  [2.8569700138728, 0.0112574113277],
];

/** Nodes for the scatter shared by two correlated responses: midpoints of 24 equal slices of probability. */
const slices = Array.from({ length: 24 }, (_, i) => (i + 0.5) / 24);

/**
 * Chance that a coupon conforms in one state of the rig. With correlated scatter the first response is cut into equal
 * slices.
 */
export function stateChance(rig: RigFormulas, state: RigState): number {
  const rho = rig.correlation ?? 0;
  const chance = Object.values(state.checks).reduce((product, value) => product * value, 1);
  if (chance < 1e-4) return 0;
  const bounds = Object.entries(state.medians).map(([name, median]) => {
    const spec = rig.definition.responses.find((response) => response.name === name)!.spec ?? {};
    const sd = rig.scatter[name]!;
    return [
      spec.lower === undefined ? Number.NEGATIVE_INFINITY : Math.log(spec.lower / median) / sd,
      spec.upper === undefined ? Number.POSITIVE_INFINITY : Math.log(spec.upper / median) / sd,
    ] as const;
  });
  // Too far out of specification to matter.
  if (bounds.some(([a, b]) => a > 5 || b < -5)) return 0;
  if (rho === 0) return bounds.reduce((product, [a, b]) => product * (normalCdf(b) - normalCdf(a)), chance);
  const low = normalCdf(bounds[0]![0]);
  const high = normalCdf(bounds[0]![1]);
  const rest = Math.sqrt(1 - rho * rho);
  let sum = 0;
  for (const u of slices) {
    const z = normalQuantile(low + u * (high - low));
    let product = 1;
    for (const [a, b] of bounds.slice(1)) {
      product *= normalCdf((b - rho * z) / rest) - normalCdf((a - rho * z) / rest);
    }
    sum += product;
  }
  return (chance * (high - low) * sum) / slices.length;
}

/** True chance that a coupon at these settings conforms, on a day drawn at random. */
export function trueChance(rig: RigFormulas, settings: Readonly<Record<string, number | string>>): number {
  const si = siSettings(rig.definition, settings);
  return days.reduce((sum, [day, weight]) => sum + weight * stateChance(rig, rig.state(si, day)), 0);
}

/** A logistic step: chance that a margin (positive is good), measured against its softness, holds. */
export function holds(margin: number, softness: number): number {
  return 1 / (1 + Math.exp(-margin / softness));
}
