import { basename, resolve } from "node:path";
import type { Command } from "commander";
import { BeadbenchError, parseJson, refusalOf } from "../../errors/index.js";
import { isPhysicalQuantity, physicalUnits, resolvePriors, settingLimits } from "../../models/index.js";
import { settingDigits, significant } from "../../numeric/index.js";
import {
  isBoundedSetting,
  processExamples,
  processOf,
  requireSetting,
  settingUnit,
  usualRange,
} from "../../process/index.js";
import {
  createStudy,
  draftDefinitionFromCsv,
  parseStudyDefinition,
  type StudyDefinition,
} from "../../study/index.js";
import { convert, kindFault, parseQuantity, sameDimension, unitsLike, withUnit } from "../../units/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { whyImpossible } from "../readings.js";

interface NewOptions extends AnswerOptions, DecimalOptions {
  readonly from: string;
  readonly process?: string;
  readonly wire?: string;
  readonly diameter?: string;
  readonly results?: string;
  readonly settings?: string;
  readonly blocks?: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption("--from <file>", "study.json to copy, or a CSV whose header and ranges make a draft")
    .option(
      "--process <number>",
      `for a CSV: ISO 4063 number, ${processExamples()}; 142 for TIG without wire`,
    )
    .option(
      "--wire <classification>",
      "for a CSV: wire as printed on the spool, such as ER308L; none where none is fed",
    )
    .option("--diameter <size>", 'for a CSV: wire diameter with its unit, such as "1.2 mm" or 0.045in')
    .option("--results <columns>", "for a CSV: columns that were measured, such as spatter,layer_height")
    .option(
      "--settings <columns>",
      "for a CSV: columns that were set, such as torch_angle,gas; text gives names",
    )
    .option("--blocks <columns>", "for a CSV: columns that tell days, operators and the like apart")
    .addOption(new DecimalOption())
    .action(async (folder: string, options: NewOptions) => {
      const text = await readText(io, options.from);
      const definition = options.from.toLowerCase().endsWith(".csv")
        ? draft({ io, folder, text, ...options })
        : parseJson(text, options.from);
      const parsed = parseStudyDefinition(definition, options.from);
      requireRunnable(parsed, options.from);
      resolvePriors({ definition: parsed });
      const study = createStudy(resolve(io.folder, folder), definition);
      const { factors, responses } = study.definition;
      answer({
        io,
        options,
        result: { study: folder, definition: study.definition },
        text: () =>
          `started ${folder}: settings ${factors.map(({ name }) => name).join(", ")}; results ${responses.map(({ name }) => name).join(", ")}\n`,
      });
    });
}

/** Names parted by commas. */
const listed = (text: string | undefined): readonly string[] =>
  (text ?? "").split(",").flatMap((name) => (name.trim() === "" ? [] : [name.trim()]));

/** Refuses a wire, a factor or a limit that no rig could run, before the first coupon does. */
function requireRunnable(definition: StudyDefinition, file: string): void {
  const { wire, factors, process } = definition;
  if (wire !== undefined)
    requireSetting("wire_diameter", convert(wire.diameter.value, wire.diameter.unit, "mm"));
  for (const { name, unit, kind, low, high } of factors) {
    if (kind === "category") continue;
    const place = (end: string): string => `${file}: factor ${name}, ${end}`;
    const details = { file, factor: name };
    if (isPhysicalQuantity(name) && !sameDimension(unit, physicalUnits[name]))
      throw new BeadbenchError(
        "bad-study",
        `${place(`unit ${unit}`)} ${kindFault(unit, physicalUnits[name])}`,
        details,
      );
    if (isBoundedSetting(name) && sameDimension(unit, settingUnit(name))) {
      const refusal = refusalOf(() => requireSetting(name, convert(high, unit, settingUnit(name))));
      if (refusal !== undefined)
        throw new BeadbenchError(
          refusal.code,
          `${place(`high ${withUnit(settingDigits(high), unit)}`)}: ${refusal.message}`,
          details,
        );
    }
    const usual = usualRange(name, processOf(process));
    if (usual === undefined || !sameDimension(usual.unit, unit) || low < 0) continue;
    const [least, most] = [low, high].map((end) => convert(end, unit, usual.unit));
    if (most! * FAR >= usual.lower && least! <= usual.upper * FAR) continue;
    const fits = unitsLike(unit).filter(
      (other) =>
        convert(high, other, usual.unit) >= usual.lower && convert(low, other, usual.unit) <= usual.upper,
    );
    const hint = fits.length === 0 ? "" : `; in ${fits.join(" or ")} it would be usual`;
    const range = `${settingDigits(low)} to ${settingDigits(high)}`;
    const ends = [usual.lower, usual.upper].map((end) => significant(convert(end, usual.unit, unit)));
    throw new BeadbenchError(
      "bad-study",
      `${place(withUnit(range, unit))}: no rig of process ${process} runs there, ${withUnit(ends.join(" to "), unit)} is usual${hint}; check the unit`,
      details,
    );
  }
  settingLimits({ definition });
}

/** A range that lies this many times beyond what is usual is a slip of unit. */
const FAR = 8;

function draft({
  io,
  folder,
  text,
  ...options
}: { readonly io: CommandIo; readonly folder: string; readonly text: string } & NewOptions): StudyDefinition {
  const { process, wire, diameter } = options;
  const isFed = wire?.toLowerCase() !== "none";
  if (process === undefined || wire === undefined || (isFed && diameter === undefined)) {
    const lacking = [
      process === undefined ? "--process 141" : "",
      wire === undefined ? "--wire ER308L" : "",
      diameter === undefined ? '--diameter "1.2 mm"' : "",
    ].filter((option) => option !== "");
    const without =
      wire === undefined
        ? "; for beads without wire, such as TIG 142, write --wire none and no diameter"
        : "";
    throw new BeadbenchError("bad-argument", `a CSV does not say it: add ${lacking.join(" ")}${without}`);
  }
  const { definition, notes } = draftDefinitionFromCsv(text, {
    name: basename(resolve(io.folder, folder)),
    process,
    ...(isFed ? { wire: { classification: wire, diameter: parseQuantity(diameter!, "mm") } } : {}),
    file: options.from,
    decimal: options.decimal,
    whyImpossible,
    responses: listed(options.results),
    settings: listed(options.settings),
    blocks: listed(options.blocks),
  });
  for (const note of notes) io.note(`${note}\n`);
  io.note(`This is a draft: look over ${folder}/study.json and state which beads are good ("spec").\n`);
  return definition;
}
