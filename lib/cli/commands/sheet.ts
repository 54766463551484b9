import { type Command, Option } from "commander";
import { onlyDefined } from "../../errors/index.js";
import { cautionsFor } from "../../presets/index.js";
import { type Paper, papers, renderRunSheet, runSheet, STATIONS, totalsText } from "../../report/index.js";
import { exportCsv } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { plannedCoupons } from "../planned-coupons.js";
import { runsTable } from "../runs-table.js";

interface SheetOptions extends AnswerOptions {
  readonly html?: string;
  readonly csv?: string;
  readonly paper: Paper;
  readonly coupons?: number;
}

export function define(command: Command, io: CommandIo): void {
  command
    .addOption(new OutputOption("--html <file>", "write the sheet as a page to print"))
    .addOption(new OutputOption("--csv <file>", "write it as CSV to fill in and import"))
    .addOption(new Option("--paper <size>", "size of the printed page").choices(papers).default("A4"))
    .option("--coupons <n>", "only so many, from the first in run order", wholeNumber(1))
    .addHelpText(
      "after",
      "\nThe coupons are those planned and not yet logged. Sum of gas, wire and time as the study's costs and rig tell them.",
    )
    .action((folder: string, options: SheetOptions) => {
      const study = studyAt(io, folder);
      const coupons = plannedCoupons(study).slice(0, options.coupons);
      const { definition } = study;
      const sheet = runSheet(study, coupons, cautionsFor(definition.process));
      const { currency } = definition.costs ?? {};
      const table = coupons.map(({ id, settings, role }) => ({ id, settings, role: role ?? "" }));
      const text = () => `${runsTable(definition, table)}\n${totalsText(sheet.totals, currency)}\n`;
      // With a file on standard output, the rest goes to the notes.
      if ([options.html, options.csv].includes("-")) io.note(text());
      else answer({ io, options, result: { coupons, totals: sheet.totals }, text });
      if (options.html !== undefined)
        writeText(
          io,
          options.html,
          renderRunSheet(sheet, { paper: options.paper, ...onlyDefined({ currency }) }),
        );
      if (options.csv !== undefined)
        writeText(io, options.csv, exportCsv(study, { coupons, toFillIn: STATIONS }));
    });
}
