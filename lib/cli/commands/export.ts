import { type Command, Option } from "commander";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import {
  type FormInputs,
  type Preset,
  type PresetForm,
  type PresetFormat,
  parseMachineMap,
  parsePreset,
  presetFormats,
  requireProven,
  writePreset,
} from "../../presets/index.js";
import { type Paper, papers, procedureSheet, renderProcedureSheet } from "../../report/index.js";
import { exportCsv, type Study } from "../../study/index.js";
import { type AnswerOptions, jsonText } from "../answer.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import { presetOf, tellLost, unprovenOption } from "./preset.js";

interface CsvMarks {
  readonly separator: string;
  readonly decimal: string;
}

/** What the record of a study can be written as. A new format is its writer and a row here. */
const studyFormats = {
  csv: (study, { separator, decimal }) => {
    if (separator !== "," && separator !== ";") throw bad("--separator must be , or ;", separator);
    if (decimal !== "." && decimal !== ",") throw bad("--decimal must be . or ,", decimal);
    return exportCsv(study, { separator, decimal });
  },
  json: ({ definition, coupons, incidents, changes, notes }) =>
    jsonText({ definition, coupons, incidents, changes, notes }),
} as const satisfies Readonly<Record<string, (study: Study, marks: CsvMarks) => string>>;

/** The sheet of a welding procedure, a page and not a table. */
const SHEET = "procedure";

const forms: Readonly<Record<string, PresetForm>> = presetFormats;
const formatNames = [...Object.keys(studyFormats), ...Object.keys(presetFormats), SHEET].join(", ");

interface ExportCommandOptions extends AnswerOptions, CsvMarks {
  readonly format: string;
  readonly to: string;
  readonly preset?: string;
  readonly level?: number;
  readonly machine?: string;
  readonly template?: string;
  readonly paper: Paper;
  readonly unproven?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--format <format>", `one of ${formatNames}`, "csv")
    .option("--to <file>", "file to write (default: standard output)", "-")
    .option("--separator <mark>", "CSV separator of the coupons, , or ;", ",")
    .option("--decimal <mark>", "CSV decimal mark of the coupons, . or ,", ".")
    .option("--preset <file>", "a preset from `preset --json` (default: what the study recommends now)")
    .option("--level <share>", "chance the recommended preset is to keep (default: 0.8)", share)
    .option("--machine <file>", "machine map, which M and G words switch what; for ngc")
    .option("--template <file>", "template to fill in; for template")
    .addOption(
      new Option("--paper <size>", "size of the printed procedure sheet").choices(papers).default("A4"),
    )
    .addOption(unprovenOption())
    .option("--json", "the same as --format json")
    .addHelpText(
      "after",
      `
csv and json hold the record of the study; of a preset:
${Object.entries(presetFormats)
  .map(([name, { holds }]) => `  ${name.padEnd(12)} ${holds}`)
  .join("\n")}
  ${SHEET.padEnd(12)} a data sheet in the order of ISO 15609-1 to print, preliminary and unqualified
What a form cannot carry is said in it and on the notes. A machine map and a template are shown in the README.`,
    )
    .action(async (folder: string, options: ExportCommandOptions) => {
      const format = options.json === true ? "json" : options.format;
      if (Object.hasOwn(studyFormats, format)) {
        const study = studyAt(io, folder);
        writeText(io, options.to, studyFormats[format as keyof typeof studyFormats](study, options));
      } else if (format === SHEET || Object.hasOwn(presetFormats, format))
        await exportPreset(io, { folder, format: format as PresetFormat | typeof SHEET, options });
      else throw bad(`--format must be one of ${formatNames}`, format);
    });
}

async function exportPreset(
  io: CommandIo,
  {
    folder,
    format,
    options,
  }: {
    readonly folder: string;
    readonly format: PresetFormat | typeof SHEET;
    readonly options: ExportCommandOptions;
  },
): Promise<void> {
  // What the user's own files are wrong in is said before a preset is searched for.
  const inputs = await inputsOf(io, format, options);
  const { unproven } = options;
  const preset = await wantedPreset(io, folder, options);
  if (format === SHEET) {
    if (unproven !== true) requireProven(preset, "--unproven");
    const sheet = procedureSheet(preset);
    writeText(io, options.to, renderProcedureSheet(sheet, { paper: options.paper }));
    tellLost(io, sheet.lost);
    return;
  }
  const { text, lost } = writePreset(preset, format, { ...inputs, ...onlyDefined({ unproven }) });
  writeText(io, options.to, text);
  tellLost(io, lost);
}

async function inputsOf(
  io: CommandIo,
  format: PresetFormat | typeof SHEET,
  options: ExportCommandOptions,
): Promise<FormInputs> {
  const needs = format === SHEET ? undefined : forms[format]!.needs;
  if (needs === undefined) return {};
  const file = options[needs];
  if (file === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `--format ${format} needs --${needs} with a file of yours; the README shows one`,
    );
  const text = await readText(io, file);
  return needs === "machine"
    ? { machine: parseMachineMap(text, file) }
    : { template: { template: text, file } };
}

async function wantedPreset(
  io: CommandIo,
  folder: string,
  { preset, level }: ExportCommandOptions,
): Promise<Preset> {
  return preset === undefined
    ? presetOf(io, studyAt(io, folder), onlyDefined({ level }))
    : parsePreset(await readText(io, preset), preset);
}

function bad(rule: string, got: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `${rule}, got "${got}"`);
}
