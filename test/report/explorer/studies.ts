import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon, StudyDefinition } from "../../../lib/study/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";

type Settings = Coupon["settings"];

/** A setting drawn anywhere in the ranges of a study, between the rig's steps too. */
export function anySetting({ factors }: StudyDefinition, uniform: () => number): Settings {
  return Object.fromEntries(
    factors.map(({ name, kind, low, high, levels }) => [
      name,
      kind === "continuous"
        ? low + (high - low) * uniform()
        : levels![Math.floor(uniform() * levels!.length)]!,
    ]),
  );
}

/** Invented coupons over a study's ranges: sizes and verdicts by no law that the models hold. */
function couponsOf(definition: StudyDefinition, count: number): readonly Coupon[] {
  const stream = randomStream(count).split(definition.name);
  const { factors, responses } = definition;
  return Array.from({ length: count }, (_, i) => {
    const settings = anySetting(definition, () => stream.uniform());
    const load = factors.reduce((sum, { name, low, high }, j) => {
      const value = settings[name];
      return (
        sum + (typeof value === "number" ? ((value - low) / (high - low) - 0.5) * (j % 2 ? -1 : 1) : 0.1)
      );
    }, 0);
    const measured = responses.filter(({ kind }) => kind === "measured");
    return coupon(`C${String(i + 1).padStart(3, "0")}`, {
      order: i + 1,
      blocks: { day: String(1 + Math.floor(i / 5)) },
      settings,
      measured: Object.fromEntries(
        measured.map(({ name }, r) => [
          name,
          (6 - 2 * r) * Math.exp(0.2 * Math.tanh(load) + 0.04 * stream.normal()),
        ]),
      ),
      passed: Object.fromEntries(
        responses
          .filter(({ kind }) => kind === "passFail")
          .map(({ name }) => [name, Math.abs(load) + 0.2 * stream.normal() < 0.7]),
      ),
    });
  });
}

/** A study by its definition and invented coupons. */
export interface ExploredStudy {
  readonly name: string;
  readonly definition: StudyDefinition;
  readonly coupons: readonly Coupon[];
}

const study = (name: string, parts: Readonly<Record<string, unknown>>, count: number): ExploredStudy => {
  const definition = tigDefinition({ name, ...parts });
  return { name, definition, coupons: couponsOf(definition, count) };
};

const [current, travel, feed] = [
  { name: "current", unit: "A", low: 100, high: 200, step: 5, settingSd: 2 },
  { name: "travel_speed", unit: "mm/min", low: 100, high: 300, step: 10 },
  { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 2 },
];
const [width, height] = [
  { name: "bead_width", unit: "mm", kind: "measured", spec: { lower: 5, upper: 7 }, scale: "log" },
  { name: "bead_height", unit: "mm", kind: "measured", spec: { lower: 1.5 }, scale: "log" },
];
const sound = { name: "sound_bead", kind: "passFail" };

/** Studies of every kind that an explorer may be asked to show. */
export const exploredStudies: readonly ExploredStudy[] = [
  study(
    "a category, with names that would end a script",
    {
      factors: [
        current,
        travel,
        feed,
        {
          name: "cup",
          unit: "1",
          kind: "category",
          levels: ['</script><b onclick="x">', "gas lens \u{1f525}"],
        },
      ],
      limits: [{ quantity: "arc_energy", unit: "kJ/mm", max: 1.2 }],
    },
    18,
  ),
  study(
    "nothing specified",
    {
      responses: [
        { ...width, spec: undefined },
        { ...height, spec: undefined },
      ],
    },
    9,
  ),
  study("checks only", { responses: [sound, { name: "smooth_feed", kind: "passFail" }] }, 14),
  study(
    "six factors, four results that hang together",
    {
      factors: [
        current,
        travel,
        feed,
        { name: "standoff", unit: "mm", low: 2, high: 5, step: 0.5, settingSd: 0.1 },
        { name: "gas_flow", unit: "L/min", low: 6, high: 14, step: 1 },
        { name: "interpass_temperature", unit: "degC", low: 20, high: 200, step: 10 },
      ],
      responses: [
        width,
        height,
        { name: "penetration", unit: "mm", kind: "measured", spec: { lower: 0.5, upper: 3 }, gaugeSd: 0.1 },
        { name: "toe_angle", unit: "deg", kind: "measured", spec: { lower: 90 }, scale: "linear" },
        sound,
      ],
    },
    30,
  ),
  study("no coupon", {}, 0),
  study("one coupon", {}, 1),
  study(
    "names that every object answers to",
    {
      factors: [
        { name: "constructor", unit: "mm", kind: "discrete", levels: [1, 1.6, 2.4] },
        { name: "prototype", unit: "1", low: -1, high: 1 },
      ],
      responses: [
        { name: "constructor2", unit: "mm", kind: "measured", spec: { upper: 7 } },
        { name: "to_string", kind: "passFail" },
      ],
    },
    10,
  ),
];

/** One of {@link exploredStudies}. */
export function exploredStudy(name: string): ExploredStudy {
  return exploredStudies.find((one) => one.name.startsWith(name))!;
}
