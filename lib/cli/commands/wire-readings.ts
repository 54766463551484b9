import type { Command } from "commander";
import type { Finding } from "../../errors/index.js";
import {
  burnBackTimeFor,
  delayForSticking,
  fitArcVoltage,
  fitMeltBack,
  fitMeltingLaw,
  fitSticking,
  fitTipDistance,
  type StickoutFit,
  stickingChance,
} from "../../models/index.js";
import { percent, significant } from "../../numeric/index.js";
import { type BoundedSetting, requireSetting } from "../../process/index.js";
import { readTable, type TableRow } from "../../study/index.js";
import { printJson, readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn, share } from "../options.js";
import { findingsText, textTable } from "../text.js";

const number = (row: TableRow, name: string): number => Number(row[name]);
const tail = (findings: readonly Finding[]): string =>
  findings.length === 0 ? "" : `\n${findingsText(findings)}`;

/** A check of table cells: what no rig does is listed with line and column. */
const possible =
  (setting: BoundedSetting) =>
  (value: number): number =>
    requireSetting(setting, value);

interface Ranged {
  readonly name: string;
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

function rangesText(ranges: readonly Ranged[]): string {
  return textTable(
    [
      { title: "coefficient" },
      { title: "value", align: "right" },
      { title: "95 % interval", align: "right" },
    ],
    ranges.map(({ name, estimate, lower, upper }) => [
      name,
      significant(estimate, 4),
      `${significant(lower)} to ${significant(upper)}`,
    ]),
  );
}

/** Commands on logs of the wire: stickout, stops of the arc, sticking. */
export function registerWireReadings(root: Command, io: CommandIo): void {
  root
    .command("stickout <readings>")
    .description("melting law, arc voltage or tip distance from readings in a CSV file")
    .addHelpText(
      "after",
      `
What is fitted follows from the columns:
  current [A], wire_feed_speed [mm/s], stickout [mm]                melting speed = alpha I + beta L I^2
  arc_voltage [V], standoff [mm], current [A]                       voltage against arc length and current
  current [A], contact_tip_distance [mm], wire_feed_speed [mm/s]    current against tip distance and feed`,
    )
    .option("--json", "print the result as JSON")
    .action(async (file: string, options: { json?: boolean }) => {
      const fit = fitStickout(await readText(io, file), file);
      if (options.json === true) printJson(io, fit);
      else
        io.out(
          `${rangesText(fit.coefficients)}\nScatter of a reading ${significant(fit.fit.residualSd)}\n${tail(fit.findings)}`,
        );
    });
  root
    .command("melt-back <stops>")
    .description(
      "coasting wire and burn-back from stops in a CSV file (burn_back_time [s], extension_change [mm])",
    )
    .option("--change <length>", "change of the extension wanted after a stop", quantityIn("mm"), 0)
    .option("--json", "print the result as JSON")
    .action(async (file: string, options: { change: number; json?: boolean }) => {
      const rows = readTable(
        await readText(io, file),
        [
          { name: "burn_back_time", unit: "s", check: possible("burn_back_time") },
          { name: "extension_change", unit: "mm" },
        ],
        file,
      );
      const fit = fitMeltBack(
        rows.map((row) => ({
          burnBackTime: number(row, "burn_back_time"),
          extensionChange: number(row, "extension_change"),
        })),
      );
      const wanted = options.change;
      const advice = burnBackTimeFor(fit, wanted);
      if (options.json === true) printJson(io, { fit, advice });
      else {
        const when =
          advice.time === null
            ? "no burn-back time gives that change\n"
            : `a burn-back time of ${significant(advice.time)} s leaves ${significant(wanted)} mm${advice.change === null ? "" : ` (single stops ${significant(advice.change.lower)} to ${significant(advice.change.upper)} mm)`}\n`;
        io.out(`${rangesText([fit.coast, fit.meltingSpeed])}\n${when}${tail(fit.findings)}`);
      }
    });
  root
    .command("sticking <stops>")
    .description("chance that the wire sticks, from stops in a CSV file (delay [s], clearance [mm], stuck)")
    .option("--chance <share>", "chance of sticking to stay under", share, 0.05)
    .option("--clearance <length>", "clearance at which, when the log has it", quantityIn("mm"))
    .option("--json", "print the result as JSON")
    .action(async (file: string, options: { chance: number; clearance?: number; json?: boolean }) => {
      const fit = fitSticking(wireStops(await readText(io, file), file));
      const clearance = options.clearance === undefined ? {} : { clearance: options.clearance };
      const delay = delayForSticking(fit, options.chance, clearance);
      if (options.json === true) printJson(io, { fit, delay });
      else {
        const chances = fit.delays.map((at) => {
          const { chance, lower, upper } = stickingChance(fit, { delay: at, ...clearance });
          return `  after ${significant(at)} s: ${percent(chance)} (${percent(lower)} to ${percent(upper)})\n`;
        });
        const advice =
          delay.assured === null
            ? `no delay tried is shown to keep it under ${percent(options.chance)}; log more stops\n`
            : `retract ${delay.bound} ${significant(delay.assured)} s after the arc to keep it under ${percent(options.chance)}, doubt included\n`;
        io.out(
          `${fit.stuck} of ${fit.stops} stops stuck; chance of sticking\n${chances.join("")}${advice}${tail(fit.findings)}`,
        );
      }
    });
}

function fitStickout(text: string, file: string): StickoutFit {
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
    file,
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
    readTable(text, wanted, file).map((row) => ({
      current: number(row, "current"),
      contactTipDistance: number(row, "contact_tip_distance"),
      wireFeedSpeed: number(row, "wire_feed_speed"),
    })),
  );
}

function wireStops(text: string, file: string) {
  return readTable(
    text,
    [
      { name: "delay", unit: "s", check: possible("retract_delay") },
      { name: "clearance", unit: "mm", optional: true },
      { name: "stuck", unit: "yes/no" },
    ],
    file,
  ).map((row) => ({
    delay: number(row, "delay"),
    ...(row.clearance === undefined ? {} : { clearance: number(row, "clearance") }),
    stuck: row.stuck === 1,
  }));
}
