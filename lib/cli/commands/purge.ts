import type { Command } from "commander";
import { requireNumber } from "../../errors/index.js";
import {
  type FittedPurge,
  fitPurge,
  type PurgeWait,
  purgeWait,
  requireOxygen,
  type UnfittedDecay,
} from "../../models/index.js";
import { levelPercent, percent, significant } from "../../numeric/index.js";
import { readTable } from "../../study/index.js";
import { answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import { type CommandIo, ExitStatus } from "../io.js";
import { quantityIn } from "../options.js";
import { findingsText, limitsText } from "../text.js";

interface PurgeOptions extends DecimalOptions {
  readonly flow: number;
  readonly volume: number;
  readonly supply?: number;
  readonly to?: number;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption("--flow <flow>", 'purge flow, such as "10 L/min"', quantityIn("L/min"))
    .requiredOption("--volume <volume>", 'free volume, such as "200 L"', quantityIn("L"))
    .option("--supply <share>", "oxygen in the gas as delivered (default: 5 ppm)", quantityIn("ppm"))
    .option("--to <share>", 'oxygen to purge to, such as "100 ppm"', quantityIn("ppm"))
    .addOption(new DecimalOption())
    .action(async (file: string, options: PurgeOptions) => {
      const { flow, volume, supply, to } = options;
      const readings = readTable(
        await readText(io, file),
        [
          {
            name: "time",
            unit: "min",
            check: (time) => requireNumber("time", time, { min: 0, unit: "min" }),
          },
          { name: "oxygen", unit: "ppm", check: requireOxygen },
        ],
        { file, decimal: options.decimal },
      ).map(({ time, oxygen }) => ({ time: Number(time), oxygen: Number(oxygen) }));
      const fit = fitPurge(readings, {
        flow,
        volume,
        ...(supply === undefined ? {} : { supplyOxygen: supply }),
      });
      const wait = to === undefined || fit.status !== "converged" ? undefined : purgeWait(fit, to);
      answer({ io, options, result: { fit, wait }, text: () => purgeText(fit, wait) });
      if (fit.status !== "converged") throw new ExitStatus(1);
    });
}

function purgeText(fit: FittedPurge | UnfittedDecay, wait: PurgeWait | undefined): string {
  if (fit.status !== "converged") return findingsText(fit.findings);
  const { decay, mixing, leak } = fit;
  const litres = ({ lower, upper, estimate }: FittedPurge["leak"]) => ({
    estimate: 1000 * estimate,
    lower: lower === null ? null : 1000 * lower,
    upper: upper === null ? null : 1000 * upper,
  });
  const findings = [...fit.findings, ...(wait?.findings ?? [])];
  return [
    `Mixing factor ${limitsText(mixing)}: 1 is well mixed, above 1 gas displaces air, below 1 it runs past it\n`,
    `Oxygen floor ${limitsText(decay.floor)} ppm; air leaking in ${limitsText(litres(leak))} mL/min\n`,
    wait === undefined
      ? ""
      : `${significant(wait.target)} ppm ${wait.estimate === null ? "is not reached" : `after ${limitsText(wait)} min`}\n`,
    `In brackets ${levelPercent(decay.level)} limits. Fitted in logarithms, since a meter errs in proportion: scatter ${percent(decay.readingSd, 1)} of a reading\n`,
    findings.length === 0 ? "" : `\n${findingsText(findings)}`,
    "\nThe meter has the last word: purge until it reads the level, and mind that inert gas asphyxiates.\n",
  ].join("");
}
