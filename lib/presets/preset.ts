import { z } from "zod";
import { errorFromIssues, type Finding, parseJson } from "../errors/index.js";
import type { Study } from "../study/index.js";
import type { Recommendation } from "../window/index.js";
import { cautionsFor } from "./cautions.js";

/** The value of `schema` in a preset this version writes and reads. */
export const PRESET_SCHEMA = "beadbench/preset/1";

/** A named value with its unit; a category has unit "1". */
export interface PresetSetting {
  readonly name: string;
  readonly value: number | string;
  readonly unit: string;
}

/** Recommended settings for a rig's program, what they will give, and how far that can be relied on. */
export interface Preset {
  readonly schema: typeof PRESET_SCHEMA;
  readonly study: string;
  /** ISO 4063 process number. */
  readonly process: string;
  /** Absent where no wire is fed. */
  readonly wire?: {
    readonly classification: string;
    readonly diameter: { readonly value: number; readonly unit: string };
  };
  /** RFC 3339. */
  readonly made: string;
  /** What it rests on. */
  readonly basis: {
    readonly coupons: number;
    /** Hash of the journal's last entry: the record this preset was made from. */
    readonly journal?: string;
    readonly seed: number;
  };
  readonly settings: readonly PresetSetting[];
  /** Settings the rig held constant while the coupons were run. */
  readonly held: readonly PresetSetting[];
  /** Median and 95 % interval of the next coupon, with the chance of meeting the response's specification. */
  readonly predicted: readonly {
    readonly name: string;
    readonly unit: string;
    readonly median: number;
    readonly lower: number;
    readonly upper: number;
    readonly chance: number;
  }[];
  /** Chance of a good verdict, by check. */
  readonly checks: readonly { readonly name: string; readonly chance: number }[];
  /** Chance that a coupon conforms in everything, and the 90 % interval of what the coupons leave open. */
  readonly chance: { readonly value: number; readonly lower: number; readonly upper: number };
  /** Settings may move inside these ranges, all at once, with at least `reached` chance. */
  readonly window: {
    readonly level: number;
    readonly reached: number;
    readonly ranges: readonly {
      readonly name: string;
      readonly unit: string;
      readonly low: number | string;
      readonly high: number | string;
    }[];
  };
  readonly findings: readonly Finding[];
  readonly cautions: readonly string[];
}

/**
 * Turns a recommendation into a preset: settings with units, predictions with intervals, the ranges that keep the chance,
 * cautions, and from which state of the journal it was made. Plain data; {@link formatPreset} writes it.
 *
 * @param made - time that stands in the preset
 */
export function makePreset(study: Study, recommendation: Recommendation, made: Date): Preset {
  const { definition, entries } = study;
  const { conformance, settings, predicted, ranges } = recommendation;
  const last = entries.at(-1);
  return {
    schema: PRESET_SCHEMA,
    study: definition.name,
    process: definition.process,
    ...(definition.wire === undefined
      ? {}
      : { wire: { classification: definition.wire.classification, diameter: definition.wire.diameter } }),
    made: made.toISOString(),
    basis: {
      coupons: recommendation.coupons,
      ...(last === undefined ? {} : { journal: last.hash }),
      seed: recommendation.seed,
    },
    settings: settings.map(({ factor, value, unit }) => ({ name: factor, value, unit })),
    held: Object.entries(definition.rig?.settings ?? {}).map(([name, quantity]) => ({ name, ...quantity })),
    predicted: predicted.map(({ response, unit, median, lower, upper, chance }) => ({
      name: response,
      unit,
      median,
      lower,
      upper,
      chance,
    })),
    checks: Object.entries(conformance.perCheck).map(([name, good]) => ({ name, chance: good })),
    chance: { value: conformance.chance, lower: conformance.interval[0], upper: conformance.interval[1] },
    window: {
      level: recommendation.level,
      reached: recommendation.reached,
      ranges: ranges.map(({ factor, unit, low, high }) => ({ name: factor, unit, low, high })),
    },
    findings: recommendation.findings,
    cautions: cautionsFor(definition.process),
  };
}

const named = { name: z.string(), unit: z.string() };
const scalar = z.union([z.number(), z.string()]);
const setting = z.strictObject({ ...named, value: scalar });
const chance = z.number().min(0).max(1);

const schema = z.strictObject({
  schema: z.literal(PRESET_SCHEMA),
  study: z.string(),
  process: z.string(),
  wire: z
    .strictObject({
      classification: z.string(),
      diameter: z.strictObject({ value: z.number().positive(), unit: z.string() }),
    })
    .optional(),
  made: z.iso.datetime(),
  basis: z.strictObject({
    coupons: z.int().min(0),
    journal: z.string().optional(),
    seed: z.int(),
  }),
  settings: z.array(setting).min(1),
  held: z.array(setting),
  predicted: z.array(
    z.strictObject({ ...named, median: z.number(), lower: z.number(), upper: z.number(), chance }),
  ),
  // Presets of before this was written down have none.
  checks: z.array(z.strictObject({ name: z.string(), chance })).default([]),
  chance: z.strictObject({ value: chance, lower: chance, upper: chance }),
  window: z.strictObject({
    level: chance,
    reached: chance,
    ranges: z.array(z.strictObject({ ...named, low: scalar, high: scalar })),
  }),
  findings: z.array(
    z.strictObject({
      code: z.string(),
      severity: z.enum(["info", "warning", "error"]),
      message: z.string(),
      advice: z.string().optional(),
      about: z.array(z.string()).optional(),
    }),
  ),
  cautions: z.array(z.string()),
});

/**
 * JSON Schema (draft 2020-12) of a preset, for programs that read one; its `schema` field names the version.
 */
export function presetJsonSchema(): object {
  return z.toJSONSchema(schema);
}

/**
 * Reads a preset back.
 *
 * @throws {BeadbenchError} `bad-file` naming each path, value and rule that is broken
 */
export function parsePreset(text: string, file = "preset.json"): Preset {
  const raw = parseJson(text, file);
  const result = schema.safeParse(raw);
  if (result.success) return result.data as Preset;
  // A file of another kind breaks every rule: its schema alone says enough.
  const faults = result.error.issues.filter(({ path }, _, all) => {
    const foreign = all.some((issue) => issue.path.join() === "schema");
    return !foreign || path.join() === "schema";
  });
  throw errorFromIssues(
    "bad-file",
    `${file} is no preset this version can read; write one with \`beadbench preset --json\`:`,
    faults.map(({ path, message }) => ({ file, column: path.join("."), message: ruleOf(message) })),
  );
}

/** A rule broken, in this library's words. */
function ruleOf(message: string): string {
  return message
    .replace(/^Invalid input: expected/, "must be")
    .replace(/, received undefined$/, ", but is missing");
}

/**
 * A preset as JSON text, indented, with a line end: what `preset --json` writes. Made to {@link presetJsonSchema}.
 */
export function formatPreset(preset: Preset): string {
  return `${JSON.stringify(preset, null, 2)}\n`;
}
