import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { exportCsv, type Study } from "../../study/index.js";
import { type AnswerOptions, jsonText } from "../answer.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";

interface CsvMarks {
  readonly separator: string;
  readonly decimal: string;
}

/** What a study can be written as. A new format is its writer and a row here. */
const formats = {
  csv: (study, { separator, decimal }) => {
    if (separator !== "," && separator !== ";") throw bad("--separator must be , or ;", separator);
    if (decimal !== "." && decimal !== ",") throw bad("--decimal must be . or ,", decimal);
    return exportCsv(study, { separator, decimal });
  },
  json: ({ definition, coupons, incidents, changes, notes }) =>
    jsonText({ definition, coupons, incidents, changes, notes }),
} as const satisfies Readonly<Record<string, (study: Study, marks: CsvMarks) => string>>;

const isFormat = (name: string): name is keyof typeof formats => Object.hasOwn(formats, name);
const formatNames = Object.keys(formats).join(", ");

interface ExportCommandOptions extends AnswerOptions, CsvMarks {
  readonly format: string;
  readonly to: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--format <format>", `one of ${formatNames}`, "csv")
    .option("--to <file>", "file to write (default: standard output)", "-")
    .option("--separator <mark>", "CSV separator, , or ;", ",")
    .option("--decimal <mark>", "CSV decimal mark, . or ,", ".")
    .option("--json", "the same as --format json")
    .action((folder: string, options: ExportCommandOptions) => {
      writeText(io, options.to, exportText(studyAt(io, folder), options));
    });
}

function exportText(study: Study, options: ExportCommandOptions): string {
  const format = options.json === true ? "json" : options.format;
  if (!isFormat(format)) throw bad(`--format must be one of ${formatNames}`, format);
  return formats[format](study, options);
}

function bad(rule: string, got: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `${rule}, got "${got}"`);
}
