import { z } from "zod";
import {
  type BeadbenchError,
  errorFromIssues,
  ownValue,
  parseJson,
  type ReadJson,
  schemaIssues,
} from "../../errors/index.js";
import { fromVersion1 } from "./older-preset.js";
import type { Preset, PresetSchedule } from "./preset.js";
import { presetShape, scheduleShape, shapeOf1 } from "./preset-shape.js";

/**
 * JSON Schema (draft 2020-12) of a preset, for programs that read one; its `schema` field names the version. The package
 * holds it as a file, `schemas/preset-2.json`.
 */
export function presetJsonSchema(): object {
  return z.toJSONSchema(presetShape);
}

/**
 * Reads a preset back, of this version or an older one.
 *
 * @throws {BeadbenchError} `bad-file` naming each path, value and rule that is broken
 */
export function parsePreset(text: string, file = "preset.json"): Preset {
  const raw = parseJson(text, file);
  const older = shapeOf1.shape.schema.safeParse((raw as { readonly schema?: unknown } | null)?.schema);
  if (older.success) {
    const result = shapeOf1.safeParse(raw);
    if (result.success) return fromVersion1(result.data);
    throw presetFault(result.error, { file, text, raw });
  }
  const result = presetShape.safeParse(raw);
  if (result.success) return result.data as Preset;
  throw presetFault(result.error, { file, text, raw });
}

/**
 * Reads what `wall --json` writes, as far as a preset carries it.
 *
 * @throws {BeadbenchError} `bad-file` naming each path and rule that is broken
 */
export function parseSchedule(text: string, file = "schedule.json"): PresetSchedule {
  const raw = parseJson(text, file) as Readonly<Record<string, unknown>> | null;
  const found = scheduleShape.safeParse(
    Object.fromEntries(Object.keys(scheduleShape.shape).map((key) => [key, ownValue(raw ?? undefined, key)])),
  );
  if (found.success) return found.data as PresetSchedule;
  throw errorFromIssues(
    "bad-file",
    `${file} is no layer schedule; write one with \`beadbench wall --json\`:`,
    schemaIssues({ file, text, raw }, found.error.issues),
  );
}

function presetFault(error: z.ZodError, read: ReadJson): BeadbenchError {
  // A file of another kind breaks every rule: its schema alone says enough.
  const foreign = error.issues.some((issue) => issue.path.join() === "schema");
  const faults = error.issues.filter(({ path }) => !foreign || path.join() === "schema");
  return errorFromIssues(
    "bad-file",
    `${read.file} is no preset this version can read; write one with \`beadbench preset --json\`:`,
    schemaIssues(read, faults),
  );
}

/**
 * A preset as JSON text, indented, with a line end: what `preset --json` writes. Made to {@link presetJsonSchema}.
 */
export function formatPreset(preset: Preset): string {
  return `${JSON.stringify(preset, null, 2)}\n`;
}
