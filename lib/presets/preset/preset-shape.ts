import { z } from "zod";
import { PRESET_SCHEMA } from "./preset.js";
import { sequenceNames } from "./sequence.js";

const named = { name: z.string(), unit: z.string() };
const scalar = z.union([z.number(), z.string()]);
const chance = z.number().min(0).max(1);
const quantity = z.strictObject({ value: z.number(), unit: z.string() });
const size = z.strictObject({ value: z.number().positive(), unit: z.string() });
const prediction = { ...named, median: z.number(), lower: z.number(), upper: z.number(), chance };
const range = { ...named, low: scalar, high: scalar };
const marked = { mark: z.string().optional() };

/** What presets of every version hold alike. */
const common = {
  study: z.string(),
  process: z.string(),
  made: z.iso.datetime(),
  chance: z.strictObject({ value: chance, lower: chance, upper: chance }),
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
};
const wire = { classification: z.string(), diameter: size };
const basis = { coupons: z.int().min(0), journal: z.string().optional(), seed: z.int() };
const check = z.strictObject({ name: z.string(), chance });

const oldSetting = z.strictObject({ ...named, value: scalar });
/** Presets of the first version. */
export const shapeOf1 = z.strictObject({
  schema: z.literal("beadbench/preset/1"),
  ...common,
  wire: z.strictObject(wire).optional(),
  basis: z.strictObject(basis),
  settings: z.array(oldSetting).min(1),
  held: z.array(oldSetting),
  predicted: z.array(z.strictObject(prediction)),
  // Presets of before this was written down have none.
  checks: z.array(check).default([]),
  window: z.strictObject({ level: chance, reached: chance, ranges: z.array(z.strictObject(range)) }),
});

const setting = z.strictObject({
  ...named,
  value: scalar,
  step: z.number().positive().optional(),
  tried: z.array(scalar).optional(),
  ...marked,
});
const step = z.strictObject({
  name: z.enum(sequenceNames),
  value: z.number().min(0),
  unit: z.string(),
  origin: z.enum(["rig", "setting", "assumed"]),
  note: z.string(),
  ...marked,
});
const settingsByName = z.record(z.string(), quantity);
const layer = z.strictObject({
  layer: z.int().min(1),
  rise: z.number(),
  settings: settingsByName,
  dwell: z.number().min(0),
  temperature: z.number().optional(),
  standoff: z.number(),
  standoffLow: z.number(),
  standoffHigh: z.number(),
  relevel: z.boolean(),
  growth: z.number(),
  growthLow: z.number(),
  growthHigh: z.number(),
});

/** The layers a preset carries. */
export const scheduleShape = z.strictObject({
  layers: z.array(layer).min(1),
  path: z.number().positive(),
  settings: settingsByName,
  interpass: z.number().nullable(),
  relevelEvery: z.int().min(1).nullable(),
});

/** Presets of this version. */
export const presetShape = z.strictObject({
  schema: z.literal(PRESET_SCHEMA),
  ...common,
  wire: z.strictObject({ ...wire, material: z.string().optional() }).optional(),
  base: z
    .strictObject({ material: z.string().optional(), thickness: size.optional(), diameter: size.optional() })
    .optional(),
  gas: z.strictObject({ code: z.string(), flow: quantity.optional() }).optional(),
  rig: z.string().optional(),
  review: z.strictObject({ by: z.iso.date(), sooner: z.string() }),
  basis: z.strictObject({ ...basis, model: z.string() }),
  settings: z.array(setting).min(1),
  held: z.array(setting),
  sequence: z.strictObject({ start: z.array(step), stop: z.array(step) }),
  derived: z.array(z.strictObject({ ...named, value: z.number() })),
  predicted: z.array(z.strictObject({ ...prediction, ...marked })),
  checks: z.array(check),
  window: z.strictObject({
    asked: chance,
    level: chance,
    reached: chance,
    ranges: z.array(
      z.strictObject({
        ...range,
        alone: z.strictObject({ low: scalar, high: scalar }).optional(),
        ...marked,
      }),
    ),
  }),
  limits: z.array(
    z.strictObject({
      ...named,
      value: z.number(),
      min: z.number().optional(),
      max: z.number().optional(),
      binds: z.boolean(),
    }),
  ),
  schedule: scheduleShape.optional(),
});
