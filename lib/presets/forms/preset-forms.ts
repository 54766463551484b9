import type { MachineMap } from "../machine/index.js";
import { type Preset, requireProven } from "../preset/index.js";
import type { WrittenPreset } from "./lost.js";
import { presetCsv } from "./preset-csv.js";
import { presetJson } from "./preset-json.js";
import { presetNgc } from "./preset-ngc.js";
import { presetThroughTemplate } from "./preset-template.js";

/** What some forms need beside the preset, by the name of what its user owns. */
export interface FormInputs {
  readonly machine?: MachineMap;
  readonly template?: { readonly template: string; readonly file?: string };
}

/** A way to write a preset for a rig or its keeper. */
export interface PresetForm {
  /** What stands in it, as the help of the command line says it. */
  readonly holds: string;
  /** What it needs beside the preset. */
  readonly needs?: keyof FormInputs;
  write(preset: Preset, inputs: FormInputs): WrittenPreset;
}

/** What a preset can be written as, by the name of its format. A new one is its writer and a row here. */
export const presetFormats = {
  "preset-json": { holds: "the preset as JSON, made to its schema", write: presetJson },
  "preset-csv": { holds: "the preset as a table", write: presetCsv },
  ngc: {
    holds: "RS-274/NGC parameters with start and stop subroutines",
    needs: "machine",
    write: (preset, { machine }) => presetNgc(preset, machine!),
  },
  template: {
    holds: "text through a template of your own",
    needs: "template",
    write: (preset, { template }) => presetThroughTemplate(preset, template!),
  },
} as const satisfies Readonly<Record<string, PresetForm>>;

export type PresetFormat = keyof typeof presetFormats;

/**
 * Writes a preset in some form. One in doubt is refused unless `unproven` asks for it, and then marked on every line.
 *
 * @param options - with the machine map or the template that the form needs
 * @throws {BeadbenchError} `refused` for a preset in doubt; what the form itself throws
 */
export function writePreset(
  preset: Preset,
  format: PresetFormat,
  { unproven = false, ...inputs }: FormInputs & { readonly unproven?: boolean } = {},
): WrittenPreset {
  if (!unproven) requireProven(preset, "--unproven");
  const form: PresetForm = presetFormats[format];
  return form.write(preset, inputs);
}
