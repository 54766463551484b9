import type { Command } from "commander";
import { fitArcVoltage, fitMeltingLaw, fitTipDistance, type StickoutFit } from "../../models/index.js";
import { significant } from "../../numeric/index.js";
import type { BoundedSetting } from "../../process/index.js";
import { readTable, type TableSource } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { coefficientsText, number, possible } from "../readings.js";
import { findingsBelow } from "../text.js";

export function define(command: Command, io: CommandIo): void {
  command
    .addHelpText(
      "after",
      `
What is fitted follows from the columns:
  current [A], wire_feed_speed [mm/s], stickout [mm]                melting speed = alpha I + beta L I^2
  arc_voltage [V], standoff [mm], current [A]                       voltage against arc length and current
  current [A], contact_tip_distance [mm], wire_feed_speed [mm/s]    current against tip distance and feed`,
    )
    .addOption(new DecimalOption())
    .action(async (file: string, options: AnswerOptions & DecimalOptions) => {
      const fit = fitStickout(await readText(io, file), { file, decimal: options.decimal });
      answer({ io, options, result: fit, text: () => stickoutText(fit) });
    });
}

function stickoutText(fit: StickoutFit): string {
  return `${coefficientsText(fit.coefficients)}\nScatter of a reading ${significant(fit.fit.residualSd)}\n${findingsBelow(fit.findings)}`;
}

function fitStickout(text: string, source: TableSource): StickoutFit {
  const optional = (name: BoundedSetting, unit: string) =>
    ({ name, unit, optional: true, check: possible(name) }) as const;
  const rows = readTable(
    text,
    [
      { name: "current", unit: "A", check: possible("current") },
      optional("wire_feed_speed", "mm/s"),
      optional("stickout", "mm"),
      optional("arc_voltage", "V"),
      optional("standoff", "mm"),
      optional("contact_tip_distance", "mm"),
    ],
    source,
  );
  const has = (...names: readonly string[]): boolean =>
    rows.every((row) => names.every((name) => name in row));
  if (has("wire_feed_speed", "stickout")) {
    return fitMeltingLaw(
      rows.map((row) => ({
        current: number(row, "current"),
        wireFeedSpeed: number(row, "wire_feed_speed"),
        extension: number(row, "stickout"),
      })),
    );
  }
  if (has("arc_voltage", "standoff")) {
    return fitArcVoltage(
      rows.map((row) => ({
        voltage: number(row, "arc_voltage"),
        arcLength: number(row, "standoff"),
        current: number(row, "current"),
      })),
    );
  }
  // Asks for the columns that are still missing, by name.
  const wanted = [
    { name: "current", unit: "A" },
    { name: "contact_tip_distance", unit: "mm" },
    { name: "wire_feed_speed", unit: "mm/s" },
  ];
  return fitTipDistance(
    readTable(text, wanted, source).map((row) => ({
      current: number(row, "current"),
      contactTipDistance: number(row, "contact_tip_distance"),
      wireFeedSpeed: number(row, "wire_feed_speed"),
    })),
  );
}
