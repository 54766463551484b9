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
    .option("--clearance <length>", "clearance at which, when the log has it", quantityIn("mm"))
    .addOption(new DecimalOption())
    .action(async (file: string, options: StickingOptions) => {
      const fit = fitSticking(wireStops(await readText(io, file), { file, decimal: options.decimal }));
      const delay = delayForSticking(fit, options.chance, clearanceOf(options));
      answer({ io, options, result: { fit, delay }, text: () => stickingText(fit, delay, options) });
    });
}

const clearanceOf = ({ clearance }: StickingOptions) => onlyDefined({ clearance });

function stickingText(fit: StickingFit, delay: SafeDelay, options: StickingOptions): string {
  const chances = fit.delays.map((at) => {
    const { chance, lower, upper } = stickingChance(fit, { delay: at, ...clearanceOf(options) });
    return `  after ${significant(at)} s: ${percent(chance)} (${percent(lower)} to ${percent(upper)})\n`;
  });
  const advice =
    delay.assured === null
      ? `no delay tried is shown to keep it under ${levelPercent(options.chance)}; log more stops\n`
      : `retract ${delay.bound} ${significant(delay.assured)} s after the arc to keep it under ${levelPercent(options.chance)}, doubt included\n`;
  return `${fit.stuck} of ${fit.stops} stops stuck; chance of sticking\n${chances.join("")}${advice}${findingsBelow(fit.findings)}`;
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
