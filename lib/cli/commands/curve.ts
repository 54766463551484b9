import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { fitCurve } from "../../regression/curve/index.js";
import { readTable, tableColumns } from "../../study/csv/index.js";
import { suggestion } from "../../study/shape/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { readText } from "../files.js";
import { curveText, startValues } from "../formula.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import { number } from "../readings.js";

interface CurveCommandOptions extends AnswerOptions {
  readonly formula: string;
  readonly response: string;
  readonly start?: Readonly<Record<string, number>>;
  readonly level: number;
}

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption(
      "--formula <formula>",
      "ordinary arithmetic on columns and parameters, such as a*current^b",
    )
    .requiredOption("--response <column>", "the column the formula is to give")
    .option(
      "--start <guesses>",
      "first guesses of parameters, such as a=2,b=0.5; 1 where none is given",
      startValues,
    )
    .option("--level <share>", "coverage of the intervals", share, 0.95)
    .addHelpText(
      "after",
      `
Columns are read as \`name [unit]\`, in the unit their heading states; the decimal mark may be a comma. In a formula they
go by their names in small letters with _ for blanks; every other name is a parameter:
  beadbench curve readings.csv --response bead_width --formula 'a * current^b * travel_speed^c'
Known: + - * / ^ ( ) pi exp log sqrt sin cos tan atan tanh abs. All rows are taken to scatter alike.`,
    )
    .action(async (file: string, options: CurveCommandOptions) => {
      const { formula, response, start, level } = options;
      const text = await readText(io, file);
      const known = tableColumns(text, file);
      const column = known.find(({ name }) => name === response);
      if (column === undefined) {
        const names = known.map(({ name }) => name);
        const hint = suggestion(response, names) || `; columns: ${names.join(", ")}`;
        throw new BeadbenchError("bad-argument", `${file} has no column "${response}"${hint}`);
      }
      const named = new Set(formula.match(/[A-Za-z_]\w*/g));
      const columns = known.filter(({ name }) => named.has(name) || name === response);
      const rows = readTable(text, columns, file).map((row) =>
        Object.fromEntries(columns.map(({ name }) => [name, number(row, name)])),
      );
      const fit = fitCurve({ rows, response }, { formula, level, ...(start && { start }) });
      answer(io, options, fit, () => curveText(fit, column.unit));
    });
}
