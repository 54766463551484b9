import type { Command } from "commander";
import { ownValue } from "../../errors/index.js";
import { fitArcVoltage, fitMeltingLaw, fitTipDistance, type StickoutFit } from "../../models/index.js";
import { significant } from "../../numeric/index.js";
import type { BoundedSetting } from "../../process/index.js";
import { readTable, type TableSource } from "../../study/index.js";
import { withUnit } from "../../units/index.js";
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
      const law = fitStickout(await readText(io, file), { file, decimal: options.decimal });
      answer({ io, options, result: law.fit, text: () => stickoutText(law) });
    });
}

/** A law with the units of its coefficients and of what it foretells. */
interface Law {
  readonly fit: StickoutFit;
  readonly unit: string;
  readonly units: Readonly<Record<string, string>>;
}

function stickoutText({ fit, unit, units }: Law): string {
  const coefficients = fit.coefficients.map((one) => ({ ...one, unit: ownValue(units, one.name)! }));
  return `${coefficientsText(coefficients)}\nScatter of a reading ${withUnit(significant(fit.fit.residualSd), unit)}\n${findingsBelow(fit.findings)}`;
}

function fitStickout(text: string, source: TableSource): Law {
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
    const fit = fitMeltingLaw(
      rows.map((row) => ({
        current: number(row, "current"),
        wireFeedSpeed: number(row, "wire_feed_speed"),
        extension: number(row, "stickout"),
      })),
    );
    return { fit, unit: "mm/s", units: { alpha: "mm/(A s)", beta: "1/(A2 s)" } };
  }
  if (has("arc_voltage", "standoff")) {
    const fit = fitArcVoltage(
      rows.map((row) => ({
        voltage: number(row, "arc_voltage"),
        arcLength: number(row, "standoff"),
        current: number(row, "current"),
      })),
    );
    return { fit, unit: "V", units: { intercept: "V", arcLength: "V/mm", current: "V/A" } };
  }
  // Asks for the columns that are still missing, by name.
  const wanted = [
    { name: "current", unit: "A" },
    { name: "contact_tip_distance", unit: "mm" },
    { name: "wire_feed_speed", unit: "mm/s" },
  ];
  const fit = fitTipDistance(
    readTable(text, wanted, source).map((row) => ({
      current: number(row, "current"),
      contactTipDistance: number(row, "contact_tip_distance"),
      wireFeedSpeed: number(row, "wire_feed_speed"),
    })),
  );
  return { fit, unit: "A", units: { intercept: "A", contactTipDistance: "A/mm", wireFeedSpeed: "A s/mm" } };
}
