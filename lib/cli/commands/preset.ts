import { type Command, InvalidArgumentError, Option } from "commander";
import { onlyDefined } from "../../errors/index.js";
import { brief, counted, percent, significant } from "../../numeric/index.js";
import {
  doubtMark,
  formatPreset,
  makePreset,
  type Preset,
  parseSchedule,
  withSchedule,
  writePreset,
} from "../../presets/index.js";
import { rangeText, settingText } from "../../study/definition/index.js";
import { type Study, wireText } from "../../study/index.js";
import { headed, withUnit } from "../../units/index.js";
import { recommendPreset } from "../../window/index.js";
import { tell } from "../answer.js";
import { readText, studyAt, writeText } from "../files.js";
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
  readonly schedule?: string;
  readonly review?: string;
  readonly json?: string | true;
  readonly csv?: string;
  readonly unproven?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  withOutcomeOptions(command)
    .option("--level <share>", "chance of conformance to keep inside the ranges", share, 0.8)
    .option("--detail", "process and wire, medians, chances by result")
    .option("--schedule <file>", "put the layer schedule of `wall --json` into the preset")
    .option("--review <date>", "when to look at it again, such as 2027-03-31 (default: half a year on)", date)
    .option("--json [file]", "write the preset as JSON (default: to standard output)")
    .addOption(new OutputOption("--csv <file>", "write the preset as a table"))
    .addOption(unprovenOption())
    .addHelpText("after", "\nOther forms (RS-274/NGC, text, a procedure sheet) are written by `export`.")
    .action(async (folder: string, options: PresetOptions) => {
      const study = studyAt(io, folder);
      const { json, csv, schedule, review } = options;
      const layers =
        schedule === undefined ? undefined : parseSchedule(await readText(io, schedule), schedule);
      const found = presetOf(io, study, options);
      const preset: Preset = {
        ...(layers === undefined ? found : withSchedule(found, layers)),
        ...(review === undefined ? {} : { review: { ...found.review, by: review } }),
      };
      if (csv !== undefined) {
        const { text, lost } = writePreset(preset, "preset-csv", onlyDefined({ unproven: options.unproven }));
        writeText(io, csv, text);
        tellLost(io, lost);
      }
      if (json !== undefined) writeText(io, json === true ? "-" : json, formatPreset(preset));
      if (json !== true && json !== "-" && csv !== "-")
        tell(io, options.detail === true ? presetText(preset) : plainPreset(preset, study.definition));
    });
}

/** The option by which a preset in doubt is written all the same. */
export const unprovenOption = (): Option =>
  new Option(
    "--unproven",
    "write a preset all the same that rests on no coupon, keeps its chance below the level, or goes beyond what was tried; every line is marked",
  );

/** Says on the notes what a form could not carry. */
export function tellLost(io: CommandIo, lost: readonly string[]): void {
  if (lost.length > 0) io.note(`Not carried: ${lost.join("; ")}.\n`);
}

/** Parses a calendar date for commander. */
function date(text: string): string {
  const read = new Date(`${text}T00:00:00Z`);
  if (/^\d{4}-\d\d-\d\d$/.test(text) && read.toJSON()?.startsWith(text) === true) return text;
  throw new InvalidArgumentError("Write a date such as 2027-03-31.");
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
  const mark = doubtMark(preset);
  return [
    mark === undefined ? "" : `${wrap(mark)}\n\n`,
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
    `\nStart and stop:\n`,
    textTable(
      [{ title: "step" }, { title: "value", align: "right" }, { title: "from" }, { title: "what it is" }],
      [...preset.sequence.start, ...preset.sequence.stop].map(({ name, value, unit, origin, note }) => [
        headed(name, unit),
        settingText(value),
        origin,
        note,
      ]),
    ),
    ...preset.limits.map(
      ({ name, value, unit, min, max, binds }) =>
        `Limit ${name}: ${withUnit(significant(value), unit)}${min === undefined ? "" : `, at least ${brief(min)}`}${max === undefined ? "" : `, at most ${brief(max)}`}${binds ? "; it binds" : ""}\n`,
    ),
    `Review by ${preset.review.by}, and ${preset.review.sooner}.\n`,
    preset.findings.length === 0 ? "" : `\n${findingsText(preset.findings)}`,
    `\n${wrap(preset.cautions[0] ?? "")}\n`,
  ].join("");
}
