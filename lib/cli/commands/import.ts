import type { Command } from "commander";
import { formatIssues, onlyDefined, requireThat } from "../../errors/index.js";
import { gate, gateText } from "../../models/index.js";
import { counted } from "../../numeric/index.js";
import { isWorkbook, mapTable, parseColumnMap, readSheet } from "../../study/foreign/index.js";
import { type CsvImport, importCsv } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readBytes, readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { whyImpossible } from "../readings.js";

interface ImportCommandOptions extends DecimalOptions {
  readonly columns?: string;
  readonly acceptGood?: boolean;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--columns <map>", "column map of a foreign table, XLSX or CSV; `beadbench columns` drafts one")
    .option("--accept-good", "import the rows without faults and list the others")
    .addOption(new DecimalOption())
    .action(async (folder: string, file: string, options: ImportCommandOptions) => {
      const study = studyAt(io, folder);
      const { decimal } = options;
      const { name, input } = await tableToRead(io, file, options.columns);
      const result = importCsv(study, input, {
        file: name,
        clock: io.clock,
        whyImpossible,
        ...(options.acceptGood === true ? { acceptGood: true } : {}),
        ...onlyDefined({ decimal: options.columns === undefined ? decimal : ("." as const) }),
      });
      const { study: _, ...summary } = result;
      answer({ io, options, result: summary, text: () => importText(result) });
      const lines = gateText(gate(result.study, result.logged), result.logged.length);
      if (lines.length > 0)
        io.note(`${lines.join("\n")}\nAll is on record as it stands; \`check\` weighs units and slips.\n`);
    });
}

/** The table as CSV in the study's words, translated by a column map where one is given. */
async function tableToRead(
  io: CommandIo,
  file: string,
  columns: string | undefined,
): Promise<{ readonly name: string; readonly input: string | Uint8Array }> {
  if (file === "-") {
    requireThat(columns === undefined, "--columns needs a file by name, not standard input");
    return { name: "standard input", input: await io.readInput() };
  }
  const input = readBytes(io, file);
  if (columns === undefined) {
    requireThat(
      !isWorkbook(input),
      `${file} is a workbook: draft a column map with \`beadbench columns <study> ${file} --to columns.json\`, look it over, and import with --columns columns.json`,
    );
    return { name: file, input };
  }
  const map = parseColumnMap(await readText(io, columns), columns);
  const sheet = readSheet(input, file, map);
  const { csv, leftOut } = mapTable(sheet, map);
  if (leftOut.length > 0) io.note(`Columns the map does not name were left out: ${leftOut.join(", ")}\n`);
  return { name: sheet.place, input: csv };
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
