import type { Command } from "commander";
import { type BurnBackAdvice, burnBackTimeFor, fitMeltBack, type MeltBackFit } from "../../models/index.js";
import { significant } from "../../numeric/index.js";
import { readTable } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn } from "../options.js";
import { coefficientsText, number, possible } from "../readings.js";
import { findingsBelow } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .option("--change <length>", "change of the extension wanted after a stop", quantityIn("mm"), 0)
    .addOption(new DecimalOption())
    .action(async (file: string, options: AnswerOptions & DecimalOptions & { readonly change: number }) => {
      const rows = readTable(
        await readText(io, file),
        [
          { name: "burn_back_time", unit: "s", check: possible("burn_back_time") },
          { name: "extension_change", unit: "mm" },
        ],
        { file, decimal: options.decimal },
      );
      const fit = fitMeltBack(
        rows.map((row) => ({
          burnBackTime: number(row, "burn_back_time"),
          extensionChange: number(row, "extension_change"),
        })),
      );
      const advice = burnBackTimeFor(fit, options.change);
      answer({ io, options, result: { fit, advice }, text: () => meltBackText(fit, advice, options.change) });
    });
}

function meltBackText(fit: MeltBackFit, { time, change }: BurnBackAdvice, wanted: number): string {
  const single =
    change === null ? "" : ` (single stops ${significant(change.lower)} to ${significant(change.upper)} mm)`;
  const when =
    time === null
      ? "no burn-back time gives that change\n"
      : `a burn-back time of ${significant(time)} s leaves ${significant(wanted)} mm${single}\n`;
  return `${coefficientsText([
    { ...fit.coast, unit: "mm" },
    { ...fit.meltingSpeed, unit: "mm/s" },
  ])}\n${when}${findingsBelow(fit.findings)}`;
}
