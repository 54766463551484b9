import type { Command } from "commander";
import { BeadbenchError, onlyDefined, ownValue } from "../../errors/index.js";
import { fitCurve } from "../../regression/curve/index.js";
import { readTable, tableColumns } from "../../study/csv/index.js";
import { suggestion } from "../../study/shape/index.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import {
  answerCurve,
  columnMeant,
  FORMULA_HELP,
  type FormulaOptions,
  START_HELP,
  startValues,
  wholeRows,
  wordsOf,
} from "../formula.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import { OutputOption } from "../output-option.js";

interface CurveCommandOptions extends FormulaOptions, DecimalOptions {
  readonly formula: string;
  readonly response: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption(
      "--formula <formula>",
      "ordinary arithmetic on columns and parameters, such as a*current^b",
    )
    .requiredOption("--response <column>", "the column the formula is to give")
    .option("--start <guesses>", START_HELP, startValues)
    .option("--level <share>", "coverage of the intervals", share, 0.95)
    .addOption(new DecimalOption())
    .addOption(new OutputOption("--svg <file>", "draw the curve, its bands and the rows"))
    .addHelpText(
      "after",
      `
Columns are read as \`name [unit]\`, in the unit their heading states, in small letters with _ for blanks; the decimal
mark may be a comma:
  beadbench curve readings.csv --response bead_width --formula 'a * current^b * travel_speed^c'
${FORMULA_HELP}`,
    )
    .action(async (file: string, options: CurveCommandOptions) => {
      const { formula, start, level } = options;
      const text = await readText(io, file);
      const known = tableColumns(text, file);
      const names = known.map(({ name }) => name);
      const response = columnMeant(options.response, names);
      if (response === undefined) {
        const hint = suggestion(options.response, names) || `; columns: ${names.join(", ")}`;
        throw new BeadbenchError("bad-argument", `${file} has no column "${options.response}"${hint}`);
      }
      const words = wordsOf({ formula, response, start }, names);
      const columns = known.filter(({ name }) => [...words.values()].includes(name));
      const cells = readTable(
        text,
        columns.map((column) => ({ ...column, optional: true })),
        { file, decimal: options.decimal },
      ).map((row) => Object.fromEntries([...words].map(([word, name]) => [word, ownValue(row, name)])));
      const rows = wholeRows(cells);
      const units = Object.fromEntries(
        [...words].map(([word, name]) => [word, known.find((column) => column.name === name)!.unit]),
      );
      const curve = fitCurve({ rows, response }, onlyDefined({ formula, level, start }));
      await answerCurve(io, options, { curve, units, known: names, lacking: cells.length - rows.length });
    });
}
