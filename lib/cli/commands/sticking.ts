import type { Command } from "commander";
import { onlyDefined } from "../../errors/index.js";
import {
  delayForSticking,
  fitSticking,
  type SafeDelay,
  type StickingFit,
  stickingChance,
} from "../../models/index.js";
import { levelPercent, percent, significant } from "../../numeric/index.js";
import { readTable, type TableSource } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn, share } from "../options.js";
import { number, possible } from "../readings.js";
import { findingsBelow } from "../text.js";

interface StickingOptions extends AnswerOptions, DecimalOptions {
  readonly chance: number;
  readonly clearance?: number;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--chance <share>", "chance of sticking to stay under", share, 0.05)
    .option(
      "--clearance <length>",
      "clearance at which, when the log has it (default: the median logged)",
      quantityIn("mm"),
    )
    .addOption(new DecimalOption())
    .action(async (file: string, options: StickingOptions) => {
      const fit = fitSticking(wireStops(await readText(io, file), { file, decimal: options.decimal }));
      const at = clearanceAt(fit, options);
      const delay = delayForSticking(fit, options.chance, at);
      answer({
        io,
        options,
        result: { fit, ...at, delay },
        text: () => stickingText({ fit, delay, at, options }),
      });
    });
}

/** The clearance asked for, else the usual one of the log; none where the log has none. */
const clearanceAt = (fit: StickingFit, { clearance = fit.usualClearance }: StickingOptions) =>
  onlyDefined({ clearance });

function stickingText({
  fit,
  delay,
  at,
  options,
}: {
  readonly fit: StickingFit;
  readonly delay: SafeDelay;
  readonly at: ReturnType<typeof clearanceAt>;
  readonly options: StickingOptions;
}): string {
  const chances = fit.delays.map((tried) => {
    const { chance, lower, upper } = stickingChance(fit, { delay: tried, ...at });
    return `  after ${significant(tried)} s: ${percent(chance)} (${percent(lower)} to ${percent(upper)})\n`;
  });
  const where =
    at.clearance === undefined
      ? ""
      : ` at a clearance of ${significant(at.clearance)} mm${options.clearance === undefined ? " (the median logged; --clearance asks for another)" : ""}`;
  const advice =
    delay.assured === null
      ? `no delay tried is shown to keep it under ${levelPercent(options.chance)}; log more stops\n`
      : `retract ${delay.bound} ${significant(delay.assured)} s after the arc to keep it under ${levelPercent(options.chance)}, doubt included\n`;
  return `${fit.stuck} of ${fit.stops} stops stuck; chance of sticking${where}\n${chances.join("")}${advice}${findingsBelow(fit.findings)}`;
}

function wireStops(text: string, source: TableSource) {
  return readTable(
    text,
    [
      { name: "delay", unit: "s", check: possible("retract_delay") },
      { name: "clearance", unit: "mm", optional: true },
      { name: "stuck", unit: "yes/no" },
    ],
    source,
  ).map((row) => ({
    delay: number(row, "delay"),
    ...(row.clearance === undefined ? {} : { clearance: number(row, "clearance") }),
    stuck: row.stuck === 1,
  }));
}
