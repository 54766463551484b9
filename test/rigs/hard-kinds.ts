import { parseStudyDefinition, type StudyDefinition } from "../../lib/study/index.js";
import { type DrawnRig, difficulty } from "./drawn-rig.js";
import type { RigFormulas, RigSettings, RigState } from "./rig.js";

/** Makes a rig harder in one way. Invented, as all rigs here. */
export type Harder = (rig: RigFormulas, at: DrawnRig["at"]) => RigFormulas;

/** Specifications of measured responses, changed. */
const specified = (
  definition: StudyDefinition,
  change: (name: string, lower: number, upper: number) => readonly [number, number],
): StudyDefinition => ({
  ...definition,
  responses: definition.responses.map((response) => {
    const { lower, upper } = response.spec ?? {};
    if (lower === undefined || upper === undefined) return response;
    const [low, high] = change(response.name, lower, upper);
    return { ...response, spec: { lower: Number(low.toPrecision(4)), upper: Number(high.toPrecision(4)) } };
  }),
});

/** Half the tolerance. */
const halfTolerance: Harder = (rig) => ({
  ...rig,
  definition: specified(rig.definition, (_, lower, upper) => [
    0.75 * lower + 0.25 * upper,
    0.25 * lower + 0.75 * upper,
  ]),
});

/** Part of the wire is lost as spatter, more of it the faster it is fed for the travel. */
const spatter: Harder = (rig, at) => {
  const feed = (s: RigSettings): number => s.wire_feed_speed! / s.travel_speed!;
  const per = rig.definition.factors.map(({ name, unit }) => [name, unit] as const);
  const toMm = (name: string): number => {
    const unit = per.find(([own]) => own === name)?.[1];
    return unit === "m/min" ? 1000 / 60 : unit === "mm/min" ? 1 / 60 : 1;
  };
  const middle =
    (Number(at.wire_feed_speed) * toMm("wire_feed_speed")) / (Number(at.travel_speed) * toMm("travel_speed"));
  const kept = (s: RigSettings): number => 1 - 0.22 / (1 + (middle / feed(s)) ** 3);
  const here = 1 - 0.11;
  return {
    ...rig,
    definition: specified(rig.definition, (name, lower, upper) => {
      const part = name === "bead_height" ? here ** 0.7 : here ** 0.3;
      return [lower * part, upper * part];
    }),
    state(settings, day): RigState {
      const { medians, checks } = rig.state(settings, day);
      const part = kept(settings);
      return {
        checks,
        medians: Object.fromEntries(
          Object.entries(medians).map(([name, value]) => [
            name,
            value * part ** (name === "bead_height" ? 0.7 : 0.3),
          ]),
        ),
      };
    },
  };
};

const GASES = ["argon", "argon with helium", "own mix"];

/** Two factors more: a choice of gas, one of them bad, and a gas flow that does nothing. */
const moreFactors: Harder = (rig) => ({
  ...rig,
  definition: parseStudyDefinition({
    ...rig.definition,
    factors: [
      ...rig.definition.factors,
      { name: "shield", kind: "category", levels: GASES },
      { name: "gas_flow", unit: "L/min", low: 8, high: 16, step: 1 },
    ],
  }),
  state(settings, day): RigState {
    const { medians, checks } = rig.state(settings, day);
    const gas = settings.shield!;
    const wider = [1, 1.09, 0.96][gas]!;
    return {
      medians: Object.fromEntries(
        Object.entries(medians).map(([name, value]) => [
          name,
          name === "bead_height" ? value / wider : value * wider,
        ]),
      ),
      checks: Object.fromEntries(
        Object.entries(checks).map(([name, chance], i) => [
          name,
          gas === 2 && i === 0 ? 0.55 * chance : chance,
        ]),
      ),
    };
  },
});

/** Ranges so wide that very few settings are good. */
const wideRanges: Harder = (rig) => ({
  ...rig,
  definition: {
    ...rig.definition,
    factors: rig.definition.factors.map((factor) => {
      const snap = (value: number): number =>
        Number((factor.step! * Math.max(1, Math.round(value / factor.step!))).toPrecision(9));
      return { ...factor, low: snap(factor.low / 1.5), high: snap(factor.high * 1.5) };
    }),
  },
});

/** Ways in which shops are harder than a drawn rig, by name. */
export const hardKinds: Readonly<Record<string, Harder>> = {
  "half-tolerance": halfTolerance,
  spatter,
  "more-factors": moreFactors,
  "wide-ranges": wideRanges,
};

/** Drawn rigs made harder, with their difficulty found anew. */
export function harder(rigs: readonly DrawnRig[], kind: string): readonly DrawnRig[] {
  return rigs.map(({ rig, at }) => {
    const made = hardKinds[kind]!(rig, at);
    const named = { ...made, name: `${rig.name}/${kind}` };
    return { rig: named, ...difficulty(named) };
  });
}
