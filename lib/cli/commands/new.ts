import { basename, resolve } from "node:path";
import type { Command } from "commander";
import { BeadbenchError, onlyDefined, parseJson, refusalOf } from "../../errors/index.js";
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
  STUDY_SCHEMA,
  type StudyDefinition,
} from "../../study/index.js";
import { convert, kindFault, parseQuantity, sameDimension, unitsLike, withUnit } from "../../units/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { askStudy, type StudyAnswers } from "../ask-study.js";
import { decimalCommas } from "../commas.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText } from "../files.js";
import type { CommandIo } from "../io.js";
import { whyImpossible } from "../readings.js";
import { resultFromWords, settingFromWords } from "../study-words.js";
import { withWanted } from "../wanted-results.js";

interface NewOptions extends AnswerOptions, DecimalOptions {
  readonly from?: string;
  readonly set: readonly string[];
  readonly want: readonly string[];
  readonly process?: string;
  readonly wire?: string;
  readonly diameter?: string;
  readonly results?: string;
  readonly settings?: string;
  readonly blocks?: string;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--from <file>", "study.json to copy, or a CSV whose header and ranges make a draft")
    .option(
      "--set <setting>",
      'without a file: a setting you change, such as "current 90 to 180 A" or "gas: argon, helium mix"; once for each',
      gather,
      [],
    )
    .option(
      "--want <result>",
      'a result and what is good of it, such as "bead width 5.5 to 6.5 mm", or without a file a check by its name; once for each',
      gather,
      [],
    )
    .option("--process <number>", `ISO 4063 number, ${processExamples()}; 142 for TIG without wire`)
    .option("--wire <classification>", "wire as printed on the spool, such as ER308L; none where none is fed")
    .option("--diameter <size>", 'wire diameter with its unit, such as "1.2 mm" or 0.045in')
    .option("--results <columns>", "for a CSV: columns that were measured, such as spatter,layer_height")
    .option(
      "--settings <columns>",
      "for a CSV: columns that were set, such as torch_angle,gas; text gives names",
    )
    .option("--blocks <columns>", "for a CSV: columns that tell days, operators and the like apart")
    .addOption(new DecimalOption())
    .action(async (folder: string, options: NewOptions) => {
      const { from } = options;
      const source = from ?? "the answers";
      const { definition, text } =
        from === undefined
          ? { definition: await answered(io, folder, options) }
          : await fromFile(io, folder, { ...options, from });
      const parsed = parseStudyDefinition(definition, source, text);
      requireRunnable(parsed, source);
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

const gather = (text: string, before: readonly string[]): readonly string[] => [...before, text];

async function fromFile(
  io: CommandIo,
  folder: string,
  options: NewOptions & { readonly from: string },
): Promise<{ readonly definition: unknown; readonly text?: string }> {
  const isTable = options.from.toLowerCase().endsWith(".csv");
  refuseUnheard(options, isTable);
  const text = await readText(io, options.from);
  return isTable
    ? { definition: draft({ io, folder, text, ...options }) }
    : { definition: parseJson(text, options.from), text };
}

/** An option that a file answers itself is refused: it would be taken for heard. */
function refuseUnheard(options: NewOptions & { readonly from: string }, isTable: boolean): void {
  const given = Object.entries({
    set: options.set.length > 0,
    ...(isTable
      ? {}
      : {
          want: options.want.length > 0,
          process: options.process !== undefined,
          wire: options.wire !== undefined,
          diameter: options.diameter !== undefined,
        }),
  }).flatMap(([name, isGiven]) => (isGiven ? [`--${name}`] : []));
  if (given.length === 0) return;
  throw new BeadbenchError(
    "bad-argument",
    isTable
      ? `the settings and their ranges are those of ${options.from}: leave ${given.join(" and ")} out, and change ranges in study.json`
      : `${options.from} says this itself: leave ${given.join(" and ")} out, or change the file`,
  );
}

/** A definition from options alone, or from questions where someone is at a terminal to answer them. */
async function answered(io: CommandIo, folder: string, options: NewOptions): Promise<unknown> {
  const given = {
    ...onlyDefined({ process: options.process, wire: options.wire, diameter: options.diameter }),
    set: options.set.map(settingFromWords),
    want: options.want.map(resultFromWords),
  };
  const { ask } = io;
  const { process, wire, diameter, set, want } =
    ask === undefined ? complete(given) : await askStudy(io, ask, given);
  return {
    schema: STUDY_SCHEMA,
    name: basename(resolve(io.folder, folder)),
    process,
    ...(diameter === undefined
      ? {}
      : { wire: { classification: wire, diameter: parseQuantity(decimalCommas(diameter), "mm") } }),
    factors: set,
    responses: want,
    blocks: ["day"],
  };
}

function complete({ process, wire, diameter, set, want }: Partial<StudyAnswers>): StudyAnswers {
  const isFed = wire?.toLowerCase() !== "none";
  const lacking = [
    process === undefined ? "--process 141" : "",
    wire === undefined ? "--wire ER308L (or none)" : "",
    isFed && diameter === undefined ? '--diameter "1.2 mm"' : "",
    set!.length === 0 ? '--set "current 90 to 180 A"' : "",
    want!.length === 0 ? '--want "bead width 5.5 to 6.5 mm"' : "",
  ].filter((option) => option !== "");
  if (lacking.length > 0) {
    throw new BeadbenchError(
      "bad-argument",
      `a study starts --from a results file or a study.json, or from what it needs: add ${lacking.join(" ")}; in a terminal \`beadbench new\` asks`,
    );
  }
  return {
    process: process!,
    wire: wire!,
    ...(isFed ? { diameter: diameter! } : {}),
    set: set!,
    want: want!,
  };
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
}: {
  readonly io: CommandIo;
  readonly folder: string;
  readonly text: string;
  readonly from: string;
} & NewOptions): StudyDefinition {
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
    ...(isFed
      ? { wire: { classification: wire, diameter: parseQuantity(decimalCommas(diameter!), "mm") } }
      : {}),
    file: options.from,
    decimal: options.decimal,
    whyImpossible,
    responses: listed(options.results),
    settings: listed(options.settings),
    blocks: listed(options.blocks),
  });
  const specified = withWanted(definition, options.want);
  for (const note of notes) io.note(`${note}\n`);
  const open = specified.responses.filter(({ kind, spec }) => kind !== "passFail" && spec === undefined);
  const rest =
    open.length === 0
      ? ""
      : `, and say which beads are good (a "spec" there, or start anew with --want "${open[0]!.name} ... to ... ${open[0]!.unit}")`;
  io.note(`This is a draft: look over ${folder}/study.json${rest}.\n`);
  return specified;
}
