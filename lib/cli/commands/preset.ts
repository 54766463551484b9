import type { Command } from "commander";
import { counted, percent, significant } from "../../numeric/index.js";
import { formatPreset, makePreset, type Preset, presetFormats } from "../../presets/index.js";
import { rangeText, settingText } from "../../study/definition/index.js";
import { type Study, wireText } from "../../study/index.js";
import { headed } from "../../units/index.js";
import { recommendPreset } from "../../window/index.js";
import { tell } from "../answer.js";
import { studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { share } from "../options.js";
import {
  checkedBasis,
  fitIfAny,
  modelFrom,
  type OutcomeOptions,
  withAgreement,
  withOutcomeOptions,
} from "../outcome.js";
import { OutputOption } from "../output-option.js";
import { plainPreset } from "../plain-window.js";
import { findingsText, textTable, wrap } from "../text.js";

interface PresetOptions extends OutcomeOptions {
  readonly level: number;
  readonly detail?: boolean;
  readonly json?: string | true;
}

export function define(command: Command, io: CommandIo): void {
  withOutcomeOptions(command)
    .option("--level <share>", "chance of conformance to keep inside the ranges", share, 0.8)
    .option("--detail", "process and wire, medians, chances by result")
    .option("--json [file]", "write the preset as JSON (default: to standard output)");
  const outputs = Object.entries(presetFormats).map(([name, { holds, write }]) => ({
    option: new OutputOption(`--${name} <file>`, `write ${holds}`),
    write,
  }));
  for (const { option } of outputs) command.addOption(option);
  command.action((folder: string, options: PresetOptions) => {
    const study = studyAt(io, folder);
    const preset = presetOf(io, study, options);
    if (options.json !== undefined)
      writeText(io, options.json === true ? "-" : options.json, formatPreset(preset));
    const written = outputs.flatMap(({ option, write }) => {
      const path: string | undefined = command.getOptionValue(option.attributeName());
      return path === undefined ? [] : [{ path, text: write(preset) }];
    });
    for (const { path, text } of written) writeText(io, path, text);
    const piped = [options.json, ...written.map(({ path }) => path)];
    if (!piped.some((path) => path === true || path === "-"))
      tell(io, options.detail === true ? presetText(preset) : plainPreset(preset, study.definition));
  });
}

/** The preset a study supports. */
export function presetOf(
  io: CommandIo,
  study: Study,
  options: OutcomeOptions & { readonly level?: number },
): Preset {
  const basis = checkedBasis(io, study, options);
  io.doing?.("searching the best setting");
  const recommendation = recommendPreset(
    modelFrom(basis),
    options.level === undefined ? {} : { level: options.level },
  );
  io.doing?.("holding it against the forms of fit");
  const fit = fitIfAny(study, options);
  return makePreset(study, withAgreement(basis, recommendation, fit), io.clock());
}

/** The preset with its figures, as text for a terminal. */
function presetText(preset: Preset): string {
  const range = new Map(preset.window.ranges.map((item) => [item.name, item]));
  return [
    `Preset for ${preset.study} (ISO 4063 process ${preset.process}, ${wireText(preset.wire)}), from ${counted(preset.basis.coupons, "coupon")}\n\n`,
    textTable(
      [{ title: "setting" }, { title: "value", align: "right" }, { title: "range", align: "right" }],
      preset.settings.map(({ name, value, unit }) => {
        const found = range.get(name);
        return [
          headed(name, unit),
          settingText(value),
          found === undefined ? "" : rangeText(found.low, found.high),
        ];
      }),
    ),
    "\n",
    textTable(
      [
        { title: "result" },
        { title: "median", align: "right" },
        { title: "95 % of coupons", align: "right" },
        { title: "conforms", align: "right" },
      ],
      [
        ...preset.predicted.map((p) => [
          headed(p.name, p.unit),
          significant(p.median),
          `${significant(p.lower)} to ${significant(p.upper)}`,
          percent(p.chance),
        ]),
        ...preset.checks.map(({ name, chance }) => [name, "", "", percent(chance)]),
      ],
    ),
    `\nChance that a coupon conforms in everything: ${percent(preset.chance.value)} (90 % interval ${percent(preset.chance.lower)} to ${percent(preset.chance.upper)}); at least ${percent(preset.window.reached)} inside the ranges\n`,
    preset.findings.length === 0 ? "" : `\n${findingsText(preset.findings)}`,
    `\n${wrap(preset.cautions[0] ?? "")}\n`,
  ].join("");
}
