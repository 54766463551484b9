import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { exportCsv, type Study } from "../../study/index.js";
import { type AnswerOptions, jsonText } from "../answer.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";

const formats = ["csv", "json"] as const;

interface ExportCommandOptions extends AnswerOptions {
  readonly format: string;
  readonly to: string;
  readonly separator: string;
  readonly decimal: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--format <format>", `one of ${formats.join(", ")}`, "csv")
    .option("--to <file>", "file to write (default: standard output)", "-")
    .option("--separator <mark>", "CSV separator, , or ;", ",")
    .option("--decimal <mark>", "CSV decimal mark, . or ,", ".")
    .option("--json", "the same as --format json")
    .action((folder: string, options: ExportCommandOptions) => {
      writeText(io, options.to, exportText(studyAt(io, folder), options));
    });
}

function exportText(study: Study, options: ExportCommandOptions): string {
  const { separator, decimal } = options;
  const format = options.json === true ? "json" : options.format;
  if (format === "json") {
    const { definition, coupons, incidents, changes, notes } = study;
    return jsonText({ definition, coupons, incidents, changes, notes });
  }
  if (format !== "csv") throw bad(`--format must be one of ${formats.join(", ")}`, format);
  if (separator !== "," && separator !== ";") throw bad("--separator must be , or ;", separator);
  if (decimal !== "." && decimal !== ",") throw bad("--decimal must be . or ,", decimal);
  return exportCsv(study, { separator, decimal });
}

function bad(rule: string, got: string): BeadbenchError {
  return new BeadbenchError("bad-argument", `${rule}, got "${got}"`);
}
