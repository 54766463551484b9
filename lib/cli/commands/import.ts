import type { Command } from "commander";
import { formatIssues, onlyDefined } from "../../errors/index.js";
import { gate, gateText } from "../../models/index.js";
import { counted } from "../../numeric/index.js";
import { type CsvImport, importCsv } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readBytes, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { whyImpossible } from "../readings.js";

interface ImportCommandOptions extends DecimalOptions {
  readonly acceptGood?: boolean;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--accept-good", "import the rows without faults and list the others")
    .addOption(new DecimalOption())
    .action(async (folder: string, file: string, options: ImportCommandOptions) => {
      const study = studyAt(io, folder);
      const { decimal } = options;
      const result = importCsv(study, file === "-" ? await io.readInput() : readBytes(io, file), {
        file: file === "-" ? "standard input" : file,
        clock: io.clock,
        whyImpossible,
        ...(options.acceptGood === true ? { acceptGood: true } : {}),
        ...onlyDefined({ decimal }),
      });
      const { study: _, ...summary } = result;
      answer({ io, options, result: summary, text: () => importText(result) });
      const lines = gateText(gate(result.study, result.logged), result.logged.length);
      if (lines.length > 0)
        io.note(`${lines.join("\n")}\nAll is on record as it stands; \`check\` weighs units and slips.\n`);
    });
}

function importText({ logged, planned, skipped, notes, faults }: CsvImport): string {
  const lines = [
    `${counted(logged.length, "coupon")} logged${planned.length === 0 ? "" : `, ${planned.length} planned`}`,
  ];
  if (skipped.length > 0)
    lines.push(
      `${skipped.length} rows skipped:`,
      ...skipped.map((row) => `  line ${row.line}: ${row.reason}`),
    );
  if (notes.length > 0) lines.push("Notes:", ...notes.map((note) => `  ${note}`));
  if (faults.length > 0)
    lines.push(
      `${faults.length} faults, these rows were left out:`,
      ...formatIssues(faults).map((fault) => `  ${fault}`),
    );
  return `${lines.join("\n")}\n`;
}
