import type { Command } from "commander";
import { counted } from "../../numeric/index.js";
import { type ColumnMap, draftColumnMap, readSheet } from "../../study/foreign/index.js";
import { type AnswerOptions, jsonText } from "../answer.js";
import { readBytes, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";

interface ColumnsCommandOptions extends AnswerOptions {
  readonly to: string;
  readonly sheet?: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--to <file>", "column map to write (default: standard output)", "-")
    .option("--sheet <name>", "sheet of a workbook that has several")
    .option("--json", "the same as --to -")
    .addHelpText(
      "after",
      `
Look the draft over before you import with it: each column has the heading it comes \`from\`, the name it goes \`to\` (null leaves it
out), and its \`unit\` ("?" where the heading states none: fill it in). \`values\` turns words into others ({"gut": "yes"}), \`skipRows\` and
\`lastRow\` leave rows out, \`constant\` adds columns ({"operator": "AB", "arc_voltage": "11.5 V"}), \`decimal\` and \`dates\` read text.`,
    )
    .action((folder: string, file: string, { to, sheet, json }: ColumnsCommandOptions) => {
      const { definition } = studyAt(io, folder);
      const map = draftColumnMap(definition, readSheet(readBytes(io, file), file, { sheet }), sheet);
      writeText(io, json === true ? "-" : to, jsonText(map));
      io.note(draftText(map));
    });
}

function draftText({ columns, headerRow }: ColumnMap): string {
  const open = columns.filter(({ unit }) => unit === "?");
  const left = columns.filter(({ to }) => to === null);
  return [
    `${counted(columns.length, "column")} under the headings of row ${headerRow}.`,
    ...(open.length === 0 ? [] : [`Fill in the unit of ${open.map(({ from }) => `"${from}"`).join(", ")}.`]),
    ...(left.length === 0
      ? []
      : [`Left out unless you name them: ${left.map(({ from }) => `"${from}"`).join(", ")}.`]),
    "",
  ].join("\n");
}
