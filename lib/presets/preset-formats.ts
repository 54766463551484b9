import type { Preset } from "./preset.js";
import { presetCsv } from "./preset-csv.js";

/** A way to write a preset for a rig's program. */
export interface PresetFormat {
  /** What stands in it, as the help of the command line says it. */
  readonly holds: string;
  write(preset: Preset): string;
}

/** What a preset can be written as beside JSON, by the name of its option. A new format is its writer and a row here. */
export const presetFormats = {
  csv: { holds: "the settings as CSV", write: presetCsv },
} as const satisfies Readonly<Record<string, PresetFormat>>;
