import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { findWindow, type ProcessWindow } from "../../window/index.js";
import { printJson, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { share, wholeNumber, words } from "../options.js";
import { outcomeModelOf } from "../outcome.js";
import { settingText } from "../runs-table.js";
import { findingsText, percent, textTable, wrap } from "../text.js";

interface WindowCommandOptions {
  readonly level: number;
  readonly map?: readonly string[];
  readonly without?: readonly string[];
  readonly seed?: number;
  readonly json?: boolean;
}

export function registerWindow(root: Command, io: CommandIo): void {
  root
    .command("window <study>")
    .description("find the setting most likely to conform, and how far each setting may drift")
    .option("--level <share>", "chance of conformance to keep", share, 0.8)
    .option("--map <settings>", "two settings to draw the map over, parted by a comma", words)
    .option("--without <coupons>", "coupons to leave out, parted by commas", words)
    .option("--seed <n>", "seed of the search (default: the study's)", wholeNumber(0))
    .option("--json", "print the result, with the map, as JSON")
    .action((folder: string, options: WindowCommandOptions) => {
      const study = studyAt(io, folder);
      const model = outcomeModelOf(io, study, options);
      const window = findWindow(model, {
        level: options.level,
        ...(options.seed === undefined ? {} : { seed: options.seed }),
        ...(options.map === undefined
          ? {}
          : { mapFactors: mapFactors(options.map, study.definition.factors) }),
      });
      if (options.json === true) printJson(io, window);
      else io.out(windowText(window));
    });
}

function mapFactors(
  names: readonly string[],
  factors: readonly { readonly name: string }[],
): readonly [string, string] {
  const [x, y] = names;
  const known = factors.map(({ name }) => name);
  if (
    names.length !== 2 ||
    x === undefined ||
    y === undefined ||
    !known.includes(x) ||
    !known.includes(y) ||
    x === y
  ) {
    throw new BeadbenchError(
      "bad-argument",
      `--map needs two different settings of ${known.join(", ")}, parted by a comma, got "${names.join(",")}"`,
    );
  }
  return [x, y];
}

/** The window as text for a terminal. */
export function windowText(window: ProcessWindow): string {
  const { best, ranges, level, reached, volume } = window;
  const { conformance } = best;
  const parts = { ...conformance.perResponse, ...conformance.perCheck };
  return [
    `Setting most likely to conform: ${best.settings.map(({ factor, value, unit }) => `${factor} ${settingText(value)} ${unit}`).join(", ")}\n`,
    `Chance of a conforming coupon ${percent(conformance.chance)} (90 % interval ${percent(conformance.interval[0])} to ${percent(conformance.interval[1])})\n`,
    `  of which ${Object.entries(parts)
      .map(([name, value]) => `${name} ${percent(value)}`)
      .join(", ")}\n\n`,
    `Ranges that keep the chance at ${percent(level)} (lowest found inside: ${percent(reached)})\n`,
    textTable(
      [
        { title: "setting" },
        { title: "best", align: "right" },
        { title: "all together", align: "right" },
        { title: "this one alone", align: "right" },
      ],
      ranges.map((r) => [
        `${r.factor} [${r.unit}]`,
        settingText(r.best),
        `${settingText(r.low)} to ${settingText(r.high)}`,
        `${settingText(r.aloneLow)} to ${settingText(r.aloneHigh)}`,
      ]),
    ),
    `\n${wrap(`${percent(volume.share, 1)} of all allowed settings keep that chance (90 % interval ${percent(volume.interval[0], 1)} to ${percent(volume.interval[1], 1)}).`)}\n`,
    window.findings.length === 0 ? "" : `\n${findingsText(window.findings)}`,
  ].join("");
}
