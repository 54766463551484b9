import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { levelPercent, percent, significant } from "../../numeric/index.js";
import { rangeText, settingsText, settingText } from "../../study/definition/index.js";
import { headed } from "../../units/index.js";
import {
  type DriftSensitivity,
  driftSensitivity,
  findWindow,
  type ProcessWindow,
  type TradeOff,
  type TradeOffs,
  tradeOffs,
  volumeText,
} from "../../window/index.js";
import { answer } from "../answer.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { share, wholeNumber, wordList } from "../options.js";
import { type OutcomeOptions, outcomeModelOf, withOutcomeOptions } from "../outcome.js";
import { plainWindow } from "../plain-window.js";
import { findingsText, textTable, wrap } from "../text.js";

interface WindowCommandOptions extends OutcomeOptions {
  readonly level: number;
  readonly map?: readonly string[];
  readonly tradeOffs?: boolean;
  readonly seed?: number;
  readonly detail?: boolean;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  withOutcomeOptions(command)
    .option("--level <share>", "chance of conformance to keep", share, 0.8)
    .option("--map <settings>", "two settings to draw the map over, parted by a comma", wordList)
    .option(
      "--trade-offs",
      "also the fastest and the cheapest setting that keep nine tenths of the best chance",
    )
    .option("--seed <n>", "seed of the search (default: the study's)", wholeNumber(0))
    .option("--detail", "chances by result, each setting alone, share of all settings, drift")
    .option("--json", "print the result, with the map, as JSON")
    .action((folder: string, options: WindowCommandOptions) => {
      const study = studyAt(io, folder);
      const model = outcomeModelOf(io, study, options);
      io.doing?.("searching the window");
      const window = findWindow(model, {
        level: options.level,
        ...(options.seed === undefined ? {} : { seed: options.seed }),
        ...(options.map === undefined
          ? {}
          : { mapFactors: mapFactors(options.map, study.definition.factors) }),
      });
      const at = Object.fromEntries(window.best.settings.map(({ factor, value }) => [factor, value]));
      const drift = driftSensitivity(model, at, window.level);
      const offs = options.tradeOffs === true ? tradeOffs(model) : undefined;
      answer({
        io,
        options,
        result: { ...window, drift, ...(offs === undefined ? {} : { tradeOffs: offs }) },
        text: () =>
          (options.detail === true
            ? windowText(window) + driftText(drift)
            : plainWindow(study.definition, window)) +
          (offs === undefined ? "" : tradeOffText(offs, study.definition.costs?.currency)),
      });
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

/** The window with its statistics, as text for a terminal. */
export function windowText(window: ProcessWindow): string {
  const { best, ranges, level, reached, volume } = window;
  const { conformance } = best;
  const parts = { ...conformance.perResponse, ...conformance.perCheck };
  return [
    `Setting most likely to conform: ${settingsText(best.settings)}\n`,
    `Chance of a conforming coupon ${percent(conformance.chance)} (90 % interval ${percent(conformance.interval[0])} to ${percent(conformance.interval[1])})\n`,
    `  of which ${Object.entries(parts)
      .map(([name, value]) => `${name} ${percent(value)}`)
      .join(", ")}\n\n`,
    `Ranges that keep the chance at ${levelPercent(level)} (lowest found inside: ${percent(reached)})\n`,
    textTable(
      [
        { title: "setting" },
        { title: "best", align: "right" },
        { title: "all together", align: "right" },
        { title: "this one alone", align: "right" },
      ],
      ranges.map((r) => [
        headed(r.factor, r.unit),
        settingText(r.best),
        rangeText(r.low, r.high),
        rangeText(r.aloneLow, r.aloneHigh),
      ]),
    ),
    `\n${wrap(volumeText(volume, "that chance"))}\n`,
    window.findings.length === 0 ? "" : `\n${findingsText(window.findings)}`,
  ].join("");
}

function driftText(drift: readonly DriftSensitivity[]): string {
  if (drift.length === 0) return "";
  const off = (value: number | undefined, sign: string): string =>
    value === undefined ? "any" : `${sign}${significant(value)}`;
  return `\nWhat drift does: chance when a setting is really 2 % off, and how far it may be off before the level is lost\n${textTable(
    [
      { title: "setting" },
      { title: "2 % low", align: "right" },
      { title: "2 % high", align: "right" },
      { title: "down to", align: "right" },
      { title: "up to", align: "right" },
    ],
    drift.map((d) => [
      headed(d.factor, d.unit),
      percent(d.chanceBelow),
      percent(d.chanceAbove),
      off(d.allowedDown, "-"),
      off(d.allowedUp, "+"),
    ]),
  )}`;
}

function tradeOffText({ safest, fastest, cheapest }: TradeOffs, currency: string | undefined): string {
  const row = (name: string, found: TradeOff | undefined): readonly (readonly string[])[] => {
    if (found === undefined) return [];
    const { minutes, wire, gas, cost } = found.perMetre;
    const figure = (value: number | undefined): string => (value === undefined ? "-" : significant(value));
    return [
      [
        name,
        percent(found.chance),
        figure(minutes),
        figure(wire),
        figure(gas),
        figure(cost),
        found.settings.map(({ value }) => settingText(value)).join(", "),
      ],
    ];
  };
  return `\nTrade-offs, per metre of bead (${safest.settings.map(({ factor, unit }) => headed(factor, unit)).join(", ")})\n${textTable(
    [
      { title: "" },
      { title: "chance", align: "right" },
      { title: "min", align: "right" },
      { title: "wire g", align: "right" },
      { title: "gas L", align: "right" },
      { title: currency === undefined ? "cost" : `cost ${currency}`, align: "right" },
      { title: "settings" },
    ],
    [...row("safest", safest), ...row("fastest", fastest), ...row("cheapest", cheapest)],
  )}`;
}
